// SPDX-License-Identifier: MIT
// Currents limited by space charge, and the ion sheath.
#include <gastube/adapt/dual.hpp>
#include <gastube/gas/sheath.hpp>

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

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

TEST_CASE("the formulas' figures come out") { check_rows(published::sheath); }

TEST_CASE_TEMPLATE("space charge lets through voltage^1.5 over distance squared", S, float, double, long double) {
  const double close = 16 * rounded<S>;
  const S once = child_electron_current(S(100), S(2e-3L));
  CHECK(relative_gap(child_electron_current(S(400), S(2e-3L)) / once, 8.0) < close);
  CHECK(relative_gap(child_electron_current(S(100), S(1e-3L)) / once, 4.0) < close);
  CHECK(relative_gap(once, 2.334e-6 * 1e3 / 4e-6) < 1e-4);  // Child's constant for electrons, 2.334e-6 A/V^1.5
  for (const S volts : {S(0), S(-1e-9L), S(-100)}) {
    CHECK(child_electron_current(volts, S(1e-3L)) == S(0));
    CHECK(child_ion_current(volts, S(1e-3L), S(4)) == S(0));
  }
}

TEST_CASE_TEMPLATE("one ion makes up for the charge of sqrt(M/m) electrons", S, float, double, long double) {
  for (const Gas& gas : gas::all) {
    CAPTURE(std::string(gas.name));
    const S mass = S(gas.mass.value);
    CHECK(relative_gap(child_electron_current(S(50), S(1e-3L)) / child_ion_current(S(50), S(1e-3L), mass),
                       neutralised_electrons(mass))
          < 16 * rounded<S>);
  }
  // The electron's own mass in u makes up for one electron.
  CHECK(relative_gap(neutralised_electrons(S(5.48579909065e-4L)), 1.0) < 1e-7);
}

TEST_CASE("ions of the plasma lift a grid by their drop in its resistor") {
  // 0.5 cm2 in xenon, 1e10 /cm3, 1 eV: 41.9 uA, so 0.42 V in 10 kohm and 42 V in 1 Mohm, worked here.
  const double current = 0.5e-4 * bohm_current(1e16, 1.0, gas::xenon.mass.value);
  CHECK(absolute_gap(current * 10e3, 0.42) < 0.005);
  CHECK(absolute_gap(current * 1e6, 42.0) < 0.5);
  CHECK(bohm_current(0.0, 1.0, 131.0) == 0.0);
  CHECK(bohm_current(2e16, 1.0, 131.0) == closeness::relative(2 * bohm_current(1e16, 1.0, 131.0)).epsilon(1e-14));
}

TEST_CASE_TEMPLATE("the sheath carries just the current that Bohm's law feeds it", S, float, double, long double) {
  constexpr unsigned long long seed = 67;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> volts(1, 300), density(14, 18), electrons(0.1, 4), mass(1, 200);
  for (int k = 0; k < 200; ++k) {
    const S v = S(volts(random)), n = S(std::pow(10.0, density(random))), t = S(electrons(random)), m = S(mass(random));
    CAPTURE(v);
    CAPTURE(n);
    CAPTURE(t);
    const S thick = sheath_thickness(v, n, t);
    CHECK(relative_gap(child_ion_current(v, thick, m), bohm_current(n, t, m)) < 32 * rounded<S>);
    CHECK(relative_gap(sheath_density(v, thick, t), n) < 32 * rounded<S>);
    CHECK(sheath_thickness(S(v * S(1.5)), n, t) > thick);  // more negative: thicker
    CHECK(sheath_thickness(v, S(n * S(1.5)), t) < thick);  // denser: thinner
  }
}

TEST_CASE_TEMPLATE("ten times the voltage makes the sheath 10^0.75 times as thick", S, float, double, long double) {
  const S ratio = S(sheath_thickness(S(100), S(1e16), S(1)) / sheath_thickness(S(10), S(1e16), S(1)));
  CHECK(relative_gap(ratio, std::pow(10.0L, 0.75L)) < 16 * rounded<S>);
  CHECK(sheath_thickness(S(0), S(1e16), S(1)) == S(0));
  CHECK(sheath_thickness(S(-5), S(1e16), S(1)) == S(0));
  CHECK(sheath_density(S(-5), S(1e-3L), S(1)) == S(0));
}

TEST_CASE_TEMPLATE("density and random electron current are each other's inverse", S, float, double, long double) {
  for (const S current : {S(1e-3), S(1), S(1e5)}) {
    for (const S electrons : {S(0.1L), S(1), S(3)}) {
      CAPTURE(current);
      const S density = density_for_current(current, electrons);
      CHECK(relative_gap(random_electron_current(density, electrons), current) < 8 * rounded<S>);
    }
  }
  CHECK(density_for_current(S(0), S(1)) == S(0));
  CHECK(random_electron_current(S(1e16), S(0)) == S(0));
  // A hundred times the ions that leave: electrons carry the arc (xenon, 1 eV; sqrt(M/m)/(0.61 sqrt(2 pi)), worked
  // here).
  CHECK(relative_gap(random_electron_current(S(1e16), S(1)) / bohm_current(S(1e16), S(1), S(131.293L)),
                     489.2 / (0.61 * std::sqrt(2 * std::acos(-1.0))))
        < 1e-3);
}

TEST_CASE("slopes are those of the powers, and none where there is no sheath") {
  using D = Dual<double, 1>;
  const D thick = sheath_thickness(D::variable(40.0, 0), D(1e16), D(1.0));
  CHECK(relative_gap(thick.partial(0), 0.75 * thick.value() / 40) < 1e-13);
  const D none = sheath_thickness(D::variable(0.0, 0), D(1e16), D(1.0));
  CHECK(none.value() == 0.0);
  CHECK(none.partial(0) == 0.0);
  CHECK(child_electron_current(D::variable(0.0, 0), D(1e-3)).partial(0) == 0.0);
}

TEST_CASE_TEMPLATE("impossible values are refused by name", S, float, double, long double) {
  const S nan = std::numeric_limits<S>::quiet_NaN(), infinite = std::numeric_limits<S>::infinity();
  for (const S bad : {S(0), S(-1), nan, infinite}) {
    CAPTURE(bad);
    CHECK(refusal::of([&] { return child_electron_current(S(1), bad); }) == "Child's law: distance");
    CHECK(refusal::of([&] { return child_ion_current(S(1), bad, S(4)); }) == "Child's law: distance");
    CHECK(refusal::of([&] { return child_ion_current(S(1), S(1), bad); }) == "Child's law: mass");
    CHECK(refusal::of([&] { return neutralised_electrons(bad); }) == "space charge: mass");
    CHECK(refusal::of([&] { return sheath_thickness(S(1), bad, S(1)); }) == "sheath: density");
    CHECK(refusal::of([&] { return sheath_thickness(S(1), S(1), bad); }) == "sheath: electron temperature");
    CHECK(refusal::of([&] { return sheath_density(S(1), bad, S(1)); }) == "sheath: thickness");
    CHECK(refusal::of([&] { return sheath_density(S(1), S(1), bad); }) == "sheath: electron temperature");
    CHECK(refusal::of([&] { return density_for_current(S(1), bad); }) == "plasma: electron temperature");
  }
  for (const S bad : {nan, infinite}) {
    CHECK(refusal::of([&] { return child_electron_current(bad, S(1)); }) == "Child's law: voltage");
    CHECK(refusal::of([&] { return child_ion_current(bad, S(1), S(4)); }) == "Child's law: voltage");
    CHECK(refusal::of([&] { return sheath_thickness(bad, S(1), S(1)); }) == "sheath: voltage");
    CHECK(refusal::of([&] { return sheath_density(bad, S(1), S(1)); }) == "sheath: voltage");
  }
  for (const S bad : {S(-1), nan, infinite}) {
    CAPTURE(bad);
    CHECK(refusal::of([&] { return bohm_current(bad, S(1), S(4)); }) == "Bohm current: density");
    CHECK(refusal::of([&] { return bohm_current(S(1), bad, S(4)); }) == "Bohm speed: electron temperature");
    CHECK(refusal::of([&] { return random_electron_current(bad, S(1)); }) == "plasma: density");
    CHECK(refusal::of([&] { return random_electron_current(S(1), bad); }) == "plasma: electron temperature");
    CHECK(refusal::of([&] { return density_for_current(bad, S(1)); }) == "plasma: current density");
  }
}
