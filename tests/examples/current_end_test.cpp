// SPDX-License-Identifier: MIT
#include "support/current_end.hpp"
#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

using namespace gastube::examples;
using closeness::relative_gap;

TEST_CASE("a current that falls by 2 A/us before a plate that falls to -60 V within a microsecond") {
  const Trace current{"", {0, 5e-6, 10e-6}, {10, 10, 0}};
  const Trace plate{"", {0, 10e-6, 11e-6, 20e-6}, {0, 0, -60, -60}};
  const auto end = current_end(current, plate, 10e-6, 1e-6);
  CHECK(relative_gap(end.current_fall, 2e6) < 1e-9);
  CHECK(relative_gap(end.voltage_rise, 60e6) < 1e-9);
  CHECK(relative_gap(end.published_factor(), 120.0) < 1e-9);
}

TEST_CASE("a plate that goes up has no inverse voltage") {
  CHECK(current_end({"", {0, 1}, {1, 0}}, {"", {0, 1, 2}, {0, 0, 5}}, 1, 0.5).voltage_rise == 0);
}
