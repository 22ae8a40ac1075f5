// SPDX-License-Identifier: MIT
// Modes of linear circuits against closed forms and against series in long double.
#include <gastube/stepping/exact/modes.hpp>

#include "stepping/exact/mode_checks.hpp"
#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

using namespace gastube;
using namespace gastube::exact;
using closeness::relative;

TEST_CASE_TEMPLATE("a capacitor discharges through a resistor", S, float, double, long double) {
  const S capacitance = S(0.5), conductance = S(500);
  Modes<S, 1> modes;
  REQUIRE(modes.find(1, &capacitance, &conductance) == ModesStatus::found);
  REQUIRE(modes.groups() == 1);
  CHECK(double(modes.group(0).growth) == relative(-1000.0).epsilon(double(8 * round_off<S>)));
  CHECK(modes.group(0).turn == S(0));
  CHECK(double((modes.column(0, 0) * modes.row(0, 0)).re) == relative(1.0).epsilon(double(8 * round_off<S>)));
}

TEST_CASE("a damped circuit rings") {
  const double c = 1e-6, l = 1e-3, g = 1e-3;
  const double e[] = {c, 0, 0, l}, k[] = {g, 1, -1, 0};
  Modes<double, 2> modes;
  REQUIRE(modes.find(2, e, k) == ModesStatus::found);
  REQUIRE(modes.groups() == 1);
  const double decay = g / (2 * c);
  CHECK(modes.group(0).growth == relative(-decay).epsilon(1e-15));
  CHECK(modes.group(0).turn == relative(std::sqrt(1 / (l * c) - decay * decay)).epsilon(1e-15));
}
