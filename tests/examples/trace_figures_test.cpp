// SPDX-License-Identifier: MIT
#include "support/trace_figures.hpp"
#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <stdexcept>

using namespace gastube::examples;
using closeness::absolute_gap;
using closeness::relative_gap;

TEST_CASE("mean, r.m.s. value and peaks of straight pieces are exact, also where a trace jumps") {
  // 0 to 4 V in 2 s, then at once down to -2 V for 1 s
  const Trace trace{"", {0, 2, 2, 3}, {0, 4, -2, -2}};
  const Figures all = figures_of(trace, 0, 3);
  CHECK(all.mean == doctest::Approx((4.0 - 2.0) / 3));
  CHECK(all.rms == doctest::Approx(std::sqrt((32.0 / 3 + 4.0) / 3)));
  CHECK(all.ripple() == doctest::Approx(std::sqrt((32.0 / 3 + 4.0) / 3 - 4.0 / 9)));
  CHECK(all.least == -2);
  CHECK(all.greatest == 4);
  const Figures part = figures_of(trace, 0.5, 1.5);  // 1 to 3 V
  CHECK(part.mean == doctest::Approx(2.0));
  CHECK(part.rms == doctest::Approx(std::sqrt(13.0 / 3)));
  CHECK(part.least == doctest::Approx(1.0));
  CHECK(part.greatest == doctest::Approx(3.0));
}

TEST_CASE("a finely sampled sine has the textbook's figures") {
  Trace sine;
  for (int k = 0; k <= 4000; ++k) {
    sine.time.push_back(k / 4000.0);
    sine.value.push_back(10 + 5 * std::sin(2 * std::numbers::pi * sine.time.back()));
  }
  const Figures figures = figures_of(sine, 0, 1);
  CHECK(relative_gap(figures.mean, 10) < 1e-12);
  CHECK(relative_gap(figures.ripple(), 5 / std::numbers::sqrt2) < 1e-6);
}

TEST_CASE("a stretch that the trace does not cover is refused") {
  const Trace trace{"", {1, 2}, {0, 4}};
  CHECK_THROWS_AS(static_cast<void>(figures_of(trace, 0.5, 2)), std::invalid_argument);
  CHECK_THROWS_AS(static_cast<void>(figures_of(trace, 1, 2.5)), std::invalid_argument);
  CHECK_THROWS_AS(static_cast<void>(figures_of(trace, 2, 2)), std::invalid_argument);
  CHECK_THROWS_AS(static_cast<void>(figures_of(Trace{}, 0, 1)), std::invalid_argument);
}

TEST_CASE("time in a state counts what lies within the stretch") {
  const StateBand band{"T1", {{0, 1, "lit"}, {1, 2, "dark"}, {2, 4, "lit"}}};
  CHECK(time_in(band, "lit", 0.5, 3) == doctest::Approx(1.5));
  CHECK(time_in(band, "dark", 0.5, 1.25) == doctest::Approx(0.25));
  CHECK(time_in(band, "glow", 0, 4) == 0);
}
