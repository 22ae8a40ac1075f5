// SPDX-License-Identifier: MIT
#include "support/ring_hold_off.hpp"
#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <utility>

using namespace gastube::examples;
using closeness::relative_gap;

TEST_CASE("hold-off of a star ring, in units of RC") {
  // worked for this library; two tubes are one capacitor of half the size: ln 2 / 2
  for (const auto& [tubes, expected] : {std::pair{2, 0.346574}, {3, 0.291134}, {5, 0.226796}, {10, 0.15407}})
    CHECK(relative_gap(star_ring_hold_off(std::size_t(tubes)), expected) < 3e-6);
  CHECK(relative_gap(star_ring_hold_off(2), std::numbers::ln2 / 2) < 1e-11);
}

TEST_CASE("hold-off of a ring on a common plate resistor, in units of RC") {
  CHECK(relative_gap(common_plate_ring_hold_off(1), std::log(std::numbers::phi)) < 1e-11);
  // a plate resistor without end: both cathodes have RC, and meet where each is half: ln 2
  CHECK(relative_gap(common_plate_ring_hold_off(1e9), std::numbers::ln2) < 1e-8);
  CHECK(common_plate_ring_hold_off(0.05) < common_plate_ring_hold_off(0.5));
}
