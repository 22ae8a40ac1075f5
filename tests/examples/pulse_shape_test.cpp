// SPDX-License-Identifier: MIT
#include "support/pulse_shape.hpp"
#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

using namespace gastube::examples;
using closeness::relative_gap;

TEST_CASE("a trapezium of 1 us, with ramps of 0.2 us, is 1.2 us wide at half height and rises in 0.16 us") {
  const Trace pulse{"", {0, 1e-6, 1.2e-6, 2.2e-6, 2.4e-6, 4e-6}, {0, 0, 50, 50, 0, 0}};
  const PulseShape shape = shape_of(pulse);
  CHECK(relative_gap(shape.width, 1.2e-6) < 1e-9);
  CHECK(relative_gap(shape.begin, 1.1e-6) < 1e-9);
  CHECK(relative_gap(shape.top, 50.0) < 1e-12);
  CHECK(shape.unevenness < 1e-12);
  CHECK(relative_gap(shape.rise, 0.16e-6) < 1e-9);
  CHECK(relative_gap(shape.steepest, 50 / 0.2e-6) < 1e-9);
}

TEST_CASE("a ripple of 4 % on the top is told, and a spike at its beginning is the peak, not the top") {
  Trace pulse{"", {0, 1}, {0, 0}};
  for (int k = 0; k <= 2000; ++k) {
    const double x = k / 2000.0;
    pulse.time.push_back(1 + x);
    pulse.value.push_back(x < 0.02 ? 130 : 100 * (1 + 0.04 * std::sin(40 * std::numbers::pi * x)));
  }
  pulse.time.push_back(2), pulse.value.push_back(0);
  const PulseShape shape = shape_of(pulse);
  CHECK(shape.peak == 130);
  CHECK(relative_gap(shape.top, 100.0) < 1e-3);
  CHECK(relative_gap(shape.unevenness, 0.04) < 2e-3);
}

TEST_CASE("where nothing is above 0 there is no pulse") {
  CHECK(shape_of({"", {0, 1, 2}, {0, -1, 0}}).width == 0);
  CHECK(shape_of({"", {}, {}}).peak == 0);
}

TEST_CASE("the mean of a ramp and a rest is that of their areas") {
  CHECK(relative_gap(mean_of({"", {0, 1, 3}, {0, 2, 2}}), 5.0 / 3) < 1e-14);
  CHECK(std::isnan(mean_of({"", {}, {}})));
}
