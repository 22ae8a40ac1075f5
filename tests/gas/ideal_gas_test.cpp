// SPDX-License-Identifier: MIT
// Pressure against density.
#include <gastube/adapt/dual.hpp>
#include <gastube/gas/ideal_gas.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <random>

using namespace gastube;
using closeness::relative_gap;

TEST_CASE("at 0 degrees Celsius and one atmosphere a volume holds Loschmidt's number") {
  CHECK(relative_gap(number_density(constants::atmosphere, constants::ice_point), constants::loschmidt.value) < 1e-15);
  // 3.219e16 /cm3 at 1 Torr and 300 K, worked here from p / kT.
  CHECK(relative_gap(number_density(constants::torr, 300.0), 3.219e22) < 2e-4);
}

TEST_CASE_TEMPLATE("pressure and density are each other's inverse", S, float, double, long double) {
  constexpr unsigned long long seed = 11;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> decade(-6, 5), kelvin(200, 1500);
  for (int k = 0; k < 200; ++k) {
    const S pressure = S(std::pow(10.0, decade(random))), temperature = S(kelvin(random));
    CAPTURE(pressure);
    CHECK(relative_gap(gas_pressure(number_density(pressure, temperature), temperature), pressure)
          < 8 * double(round_off<S>));
  }
  CHECK(number_density(S(0), S(300)) == S(0));
  CHECK(gas_pressure(S(0), S(300)) == S(0));
}

TEST_CASE("heating a sealed tube raises its pressure but not its reduced pressure") {
  const double molecules = number_density(13.3, 293.0);
  const double cold = gas_pressure(molecules, 250.0), hot = gas_pressure(molecules, 420.0);
  CHECK(relative_gap(hot / cold, 420.0 / 250.0) < 1e-14);  // Gay-Lussac's law
  CHECK(relative_gap(reduced_pressure(hot, 420.0), reduced_pressure(cold, 250.0)) < 1e-14);
  CHECK(reduced_pressure(100.0, constants::ice_point) == 100.0);
}

TEST_CASE("density has the slopes of p / kT") {
  using D = Dual<double, 2>;
  const D n = number_density(D::variable(10.0, 0), D::variable(300.0, 1));
  CHECK(relative_gap(n.partial(0), n.value() / 10) < 1e-14);
  CHECK(relative_gap(n.partial(1), -n.value() / 300) < 1e-14);
}

TEST_CASE_TEMPLATE("values that no gas has are refused by name", S, float, double, long double) {
  const S nan = std::numeric_limits<S>::quiet_NaN(), infinite = std::numeric_limits<S>::infinity();
  for (const S bad : {S(-1e-6), nan, infinite}) {
    CAPTURE(bad);
    CHECK(refusal::of([&] { return number_density(bad, S(300)); }) == "ideal gas: pressure");
    CHECK(refusal::of([&] { return gas_pressure(bad, S(300)); }) == "ideal gas: density");
    CHECK(refusal::of([&] { return reduced_pressure(bad, S(300)); }) == "ideal gas: pressure");
  }
  for (const S bad : {S(0), S(-1), nan, infinite}) {
    CAPTURE(bad);
    CHECK(refusal::of([&] { return number_density(S(1), bad); }) == "ideal gas: temperature");
    CHECK(refusal::of([&] { return gas_pressure(S(1), bad); }) == "ideal gas: temperature");
    CHECK(refusal::of([&] { return reduced_pressure(S(1), bad); }) == "ideal gas: temperature");
  }
}
