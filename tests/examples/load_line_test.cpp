// SPDX-License-Identifier: MIT
#include "support/load_line.hpp"
#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

using namespace gastube::examples;
using closeness::relative_gap;

TEST_CASE("a load line begins at the short-circuit current and follows (E - v) / R to near the supply") {
  const Curve line = load_line("feed", 120, 3e6);
  REQUIRE(line.x.size() == line.y.size());
  CHECK(line.x.front() == 0.0);
  CHECK(relative_gap(line.y.front(), 40e-6) < 1e-12);
  CHECK(line.x.back() > 119.0);
  for (std::size_t k = 0; k < line.x.size(); ++k) CHECK(relative_gap(line.y[k], (120 - line.x[k]) / 3e6) < 1e-12);
}

TEST_CASE("an operating path is the part between two times, in order of time, with a floor for the current") {
  const Trace volts{"v", {0, 1, 2, 3}, {10, 20, 30, 5}}, amperes{"i", {0, 1, 2, 3}, {0, 1e-12, 2e-3, 0}};
  const Curve path = operating_path("way", volts, amperes, 0.5, 3, 1e-9);
  CHECK(path.style == CurveStyle::path);
  CHECK(path.x == std::vector<double>{15, 20, 30, 5});
  CHECK(path.y == std::vector<double>{1e-9, 1e-9, 2e-3, 1e-9});
}
