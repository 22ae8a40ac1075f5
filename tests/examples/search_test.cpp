// SPDX-License-Identifier: MIT
#include "support/search.hpp"

#include <doctest/doctest.h>

using gastube::examples::greatest_working;

TEST_CASE("the search ends within its precision below the limit, and on a value that was seen to work") {
  double last_seen = 0;
  const auto works = [&](double value) {
    if (value <= 137.0) last_seen = last_seen > value ? last_seen : value;
    return value <= 137.0;
  };
  const auto found = greatest_working(1, 1e6, 1e-3, works);
  REQUIRE(found);
  CHECK(*found <= 137.0);
  CHECK(*found > 137.0 / 1.0011);
  CHECK(*found == last_seen);
}

TEST_CASE("the search stops at the first failure on its way up, though more would work beyond") {
  const auto works = [](double value) { return value < 10 || value > 100; };
  const auto found = greatest_working(1, 1e4, 1e-2, works);
  REQUIRE(found);
  CHECK(*found < 10);
  CHECK(*found > 9.8);
}

TEST_CASE("nothing is found where the least fails, and the greatest where all work") {
  CHECK_FALSE(greatest_working(1, 10, 0.1, [](double) { return false; }));
  CHECK(greatest_working(1, 10, 0.1, [](double) { return true; }) == 10.0);
}
