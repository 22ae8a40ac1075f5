// SPDX-License-Identifier: MIT
// Ionisation by fast electrons near the threshold.
#include <gastube/adapt/dual.hpp>
#include <gastube/gas/ionisation.hpp>

#include "fidelity/check_rows.hpp"
#include "fidelity/gas_rows.hpp"
#include "gas/rounded.hpp"
#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

#include <limits>
#include <random>
#include <string>

using namespace gastube;
using closeness::relative_gap;

TEST_CASE("argon 5 V above its threshold is ionised as the formula says") { check_rows(published::ionisation); }

TEST_CASE_TEMPLATE("up to the ionisation potential nothing is ionised, then in proportion to the excess", S, float,
                   double, long double) {
  for (const IonisationEfficiency& efficiency : ionisation::all) {
    CAPTURE(std::string(efficiency.gas.name));
    const S threshold = S(efficiency.gas.ionisation.value);
    const auto ions = [&](S energy) { return ions_per_length(efficiency, energy, S(100)); };
    CHECK(ions(S(0)) == S(0));
    CHECK(ions(threshold) == S(0));
    CHECK(ions(S(threshold * (S(1) - S(4) * round_off<S>))) == S(0));
    CHECK(ions(S(threshold * (S(1) + S(4) * round_off<S>))) > S(0));
    const double close = 100 * rounded<S>;  // the excess is a small difference of energies
    CHECK(relative_gap(ions(S(threshold + S(2))), 2 * efficiency.slope.value * 100) < close);
    CHECK(relative_gap(ions(S(threshold + S(4))) / ions(S(threshold + S(2))), 2.0) < close);
    CHECK(ions_per_length(efficiency, S(threshold + S(2)), S(0)) == S(0));  // no gas
  }
}

TEST_CASE("beyond the straight rise the efficiency is held, with no slope") {
  using D = Dual<double, 1>;
  for (const IonisationEfficiency& efficiency : ionisation::all) {
    CAPTURE(std::string(efficiency.gas.name));
    efficiency.check();
    const double top = ions_per_length(efficiency, efficiency.highest, 1.0);
    CHECK(ions_per_length(efficiency, efficiency.highest + 1, 1.0) == top);
    CHECK(ions_per_length(efficiency, 1e6, 1.0) == top);
    CHECK(ions_per_length(efficiency, efficiency.highest - 1, 1.0) < top);
    CHECK(ions_per_length(efficiency, D::variable(efficiency.highest + 1, 0), D(1.0)).partial(0) == 0.0);
    CHECK(ions_per_length(efficiency, D::variable(efficiency.highest - 1, 0), D(1.0)).partial(0)
          == closeness::relative(efficiency.slope.value).epsilon(1e-14));
  }
}

TEST_CASE("ions never get fewer with more energy or more gas") {
  constexpr unsigned long long seed = 41;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> energy(0, 60), pressure(0, 1000), more(0, 10);
  for (int k = 0; k < 500; ++k) {
    const IonisationEfficiency& efficiency = ionisation::all[random() % ionisation::all.size()];
    const double v = energy(random), p = pressure(random), ions = ions_per_length(efficiency, v, p);
    CAPTURE(v);
    CAPTURE(p);
    CHECK(ions_per_length(efficiency, v + more(random), p) >= ions);
    CHECK(ions_per_length(efficiency, v, p + more(random)) >= ions);
    CHECK(ions >= 0.0);
  }
}

TEST_CASE("heavy gases are ionised most readily, helium least") {
  // Order of slopes: A. von Engel, Ionized Gases, 1965, from memory. Xenon's is too weak a recollection to be placed.
  CHECK(ionisation::helium.slope < ionisation::neon.slope);
  CHECK(ionisation::neon.slope < ionisation::hydrogen.slope);
  CHECK(ionisation::hydrogen.slope < ionisation::argon.slope);
  CHECK(ionisation::argon.slope < ionisation::mercury.slope);
  CHECK(ionisation::xenon.slope.confidence == Confidence::unverified);
  CHECK(ionisation::deuterium.slope.confidence == Confidence::unverified);
}

TEST_CASE_TEMPLATE("impossible values are refused by name", S, float, double, long double) {
  for (const S bad : {S(-1), std::numeric_limits<S>::quiet_NaN(), std::numeric_limits<S>::infinity()}) {
    CAPTURE(bad);
    CHECK(refusal::of([&] { return ions_per_length(ionisation::argon, bad, S(1)); }) == "ionisation: energy");
    CHECK(refusal::of([&] { return ions_per_length(ionisation::argon, S(1), bad); }) == "ionisation: pressure");
  }
}

TEST_CASE("an efficiency without a rise is refused by name") {
  IonisationEfficiency spoilt = ionisation::argon;
  spoilt.slope.value = 0.0;
  CHECK(refusal::of([&] { spoilt.check(); }) == "ionisation efficiency: slope");
  spoilt = ionisation::argon;
  spoilt.highest = spoilt.gas.ionisation;
  CHECK(refusal::of([&] { spoilt.check(); }) == "ionisation efficiency: highest");
}
