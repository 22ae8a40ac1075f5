// SPDX-License-Identifier: MIT
#include "support/crossing.hpp"
#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube::examples;
using closeness::relative_gap;

TEST_CASE("a falling function is found where it passes zero") {
  CHECK(relative_gap(crossing(0, 10, [](double x) { return 2 - x * x; }), std::sqrt(2.0)) < 1e-8);
  CHECK(relative_gap(crossing(0, 1, [](double x) { return 0.3 - x; }), 0.3) < 1e-8);
}

TEST_CASE("where the sign does not change the nearer end comes back") {
  CHECK(crossing(0, 1, [](double) { return 1.0; }) == 1);
  CHECK(crossing(0, 1, [](double) { return -1.0; }) == 0);
}
