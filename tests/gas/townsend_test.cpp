// SPDX-License-Identifier: MIT
// First Townsend coefficient, its two published sets of constants, and what a Penning trace does.
#include <gastube/adapt/dual.hpp>
#include <gastube/gas/townsend.hpp>

#include "fidelity/check_rows.hpp"
#include "fidelity/gas_rows.hpp"
#include "gas/rounded.hpp"
#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"
#include "support_for_tests/slopes.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <random>
#include <set>
#include <string>

using namespace gastube;
using closeness::relative_gap;

TEST_CASE("the first set agrees with the same table in SI units, but for argon's a and hydrogen's b") {
  check_rows(published::townsend_in_si);
}

TEST_CASE_TEMPLATE("alpha follows its formula", S, float, double, long double) {
  const auto& xenon = townsend::xenon;
  for (const S field : {S(1e3), S(2e4), S(1e6)}) {
    for (const S pressure : {S(1), S(20), S(1e4)}) {
      CAPTURE(field);
      CAPTURE(pressure);
      const long double brake = wide(xenon.b.value) * wide(pressure) / wide(field);
      const long double expected = wide(xenon.a.value) * wide(pressure) * std::exp(-brake);
      if (expected < 1e-30L) continue;  // at and below the least float
      CHECK(relative_gap(ionisation_coefficient(xenon, field, pressure), expected)
            < 4 * double(round_off<S>) * (2 + double(brake)));
    }
  }
}

TEST_CASE_TEMPLATE("without field or without gas nothing is ionised", S, float, double, long double) {
  const auto alpha = [](S field, S pressure) { return ionisation_coefficient(townsend::neon, field, pressure); };
  CHECK(alpha(S(0), S(100)) == S(0));
  CHECK(alpha(S(1e4), S(0)) == S(0));
  CHECK(alpha(S(0), S(0)) == S(0));
  CHECK(alpha(std::numeric_limits<S>::min(), S(1e5)) == S(0));
  CHECK(alpha(S(1), S(1e6)) == S(0));
  CHECK(relative_gap(alpha(S(1e8), S(1e-3)), townsend::neon.a.value * 1e-3) < 1e-6);  // every free path ionises
}

TEST_CASE("derivatives of alpha stay finite where it vanishes, and are its slopes elsewhere") {
  using D = Dual<double, 2>;
  for (const double field : {0.0, 1e-300, 1.0, 1e-30}) {
    const D alpha = ionisation_coefficient(townsend::argon, D::variable(field, 0), D::variable(1e3, 1));
    CHECK(alpha.value() == 0.0);
    CHECK(alpha.partial(0) == 0.0);
    CHECK(alpha.partial(1) == 0.0);
  }
  const D alpha = ionisation_coefficient(townsend::argon, D::variable(2e4, 0), D::variable(100.0, 1));
  CHECK(slopes::agrees([](double e) { return ionisation_coefficient(townsend::argon, e, 100.0); }, 2e4,
                       alpha.partial(0)));
  CHECK(slopes::agrees([](double p) { return ionisation_coefficient(townsend::argon, 2e4, p); }, 100.0,
                       alpha.partial(1)));
}

TEST_CASE("alpha rises with the field in every gas, and is greatest at the pressure E / b") {
  constexpr unsigned long long seed = 23;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> decade(3, 6), share(1.001, 3);
  for (const TownsendConstants& gas : townsend::first_set) {
    CAPTURE(std::string(gas.gas));
    for (int k = 0; k < 50; ++k) {
      const double field = std::pow(10.0, decade(random)), more = share(random), best = field / gas.b;
      CAPTURE(field);
      CAPTURE(more);
      const double greatest = ionisation_coefficient(gas, field, best);
      CHECK(ionisation_coefficient(gas, field * more, best) > greatest);
      CHECK(ionisation_coefficient(gas, field, best * more) < greatest);
      CHECK(ionisation_coefficient(gas, field, best / more) < greatest);
    }
  }
}

TEST_CASE("ionisation per volt is greatest where E/p = b, and there a / (b e)") {
  for (const TownsendConstants& gas : townsend::first_set) {
    CAPTURE(std::string(gas.gas));
    const double b = gas.b, best = ionisation_per_volt(gas, b);
    CHECK(relative_gap(best, gas.a / (gas.b * std::exp(1.0))) < 1e-14);  // closed form, worked here
    CHECK(ionisation_per_volt(gas, b * 1.01) < best);
    CHECK(ionisation_per_volt(gas, b * 0.99) < best);
  }
}

TEST_CASE("every fill gas has constants of its own symbol, and a stranger has none") {
  for (const Gas& gas : gas::all) {
    CAPTURE(std::string(gas.name));
    const TownsendConstants& found = townsend::of(gas);
    CHECK(std::string(found.gas) == gas.symbol);
    CHECK(found.holds_at((found.lowest + found.highest) / 2));
    CHECK_FALSE(found.holds_at(found.lowest * 0.999));
    CHECK_FALSE(found.holds_at(found.highest * 1.001));
  }
  std::set<double> different;
  for (const TownsendConstants& constants : townsend::first_set) different.insert(constants.a);
  CHECK(different.size() == townsend::first_set.size() - 2);  // deuterium is taken as hydrogen, nitrogen's a is argon's
  CHECK(townsend::deuterium.a.confidence == Confidence::unverified);
  const Gas radon{"radon", "Rn", gas::xenon.ionisation, gas::xenon.metastable, gas::xenon.mass};
  CHECK_THROWS_AS(static_cast<void>(townsend::of(radon)), InvalidRequest);
}

TEST_CASE("the second set carries no range, so it holds nowhere on its own word") {
  for (const TownsendConstants& constants : townsend::second_set) {
    CHECK(constants.a.confidence == Confidence::published);
    CHECK_FALSE(constants.holds_at(constants.b.value));
    constants.check();
  }
}

TEST_CASE("a Penning trace raises ionisation per volt most at weak field") {
  // Measured: ionisation per volt is largest for Ne + 0.01 % Xe at E/p of 1 to 10 V/(cm Torr), above Ne + 0.1 % Ar,
  // both above neon alone (Phys. Rev. A (1976), abstract). The picture here cannot tell one trace from another.
  double last_gain = std::numeric_limits<double>::infinity();
  for (const double printed : {1.0, 3.0, 10.0, 30.0, 100.0}) {
    CAPTURE(printed);
    const double reduced_field = constants::per_torr_cm(printed);
    const double alone = ionisation_per_volt(townsend::neon, reduced_field);
    const double with_xenon = ionisation_per_volt(townsend::of(gas::neon_xenon), reduced_field);
    const double with_argon = ionisation_per_volt(townsend::of(gas::neon_argon), reduced_field);
    CHECK(with_xenon > alone);
    CHECK(with_argon == with_xenon);
    CHECK(with_xenon / alone < last_gain);
    last_gain = with_xenon / alone;
  }
  // An ion costs an electron the metastable level at least: the greatest yield of ions stays below one for each 16.6 V.
  const TownsendConstants mixture = townsend::of(gas::neon_argon);
  CHECK(ionisation_per_volt(mixture, mixture.b.value) < 1 / gas::neon.metastable);
  CHECK(mixture.b.confidence == Confidence::unverified);
}

TEST_CASE_TEMPLATE("impossible fields and pressures are refused by name", S, float, double, long double) {
  const S nan = std::numeric_limits<S>::quiet_NaN(), infinite = std::numeric_limits<S>::infinity();
  for (const S bad : {S(-1), nan, infinite}) {
    CAPTURE(bad);
    CHECK(refusal::of([&] { return ionisation_coefficient(townsend::neon, bad, S(1)); })
          == "first Townsend coefficient: field");
    CHECK(refusal::of([&] { return ionisation_coefficient(townsend::neon, S(1), bad); })
          == "first Townsend coefficient: pressure");
    CHECK(refusal::of([&] { return ionisation_per_volt(townsend::neon, bad); })
          == "ionisation per volt: reduced field");
  }
  CHECK(refusal::of([] { return ionisation_per_volt(townsend::neon, S(0)); }) == "ionisation per volt: reduced field");
}

TEST_CASE("constants that are not above zero are refused by name") {
  for (const double bad : {0.0, -1.0, std::numeric_limits<double>::quiet_NaN()}) {
    TownsendConstants constants = townsend::neon;
    constants.a.value = bad;
    CHECK(refusal::of([&] { constants.check(); }) == "Townsend constants: a");
    constants = townsend::neon;
    constants.b.value = bad;
    CHECK(refusal::of([&] { constants.check(); }) == "Townsend constants: b");
  }
  PenningMixture impossible{gas::argon, gas::neon, {0.001, Confidence::derived, "made up"}};
  CHECK(refusal::of([&] { return townsend::of(impossible); }) == "Penning mixture: metastable level of the main gas");
}
