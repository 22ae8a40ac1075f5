// SPDX-License-Identifier: MIT
// Thinning a trace for a picture must not lose a spike, and clipping must not invent one.

#include "support/trace.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>
#include <stdexcept>

using namespace gastube::examples;

namespace {

Trace flat_with_spike(std::size_t samples, std::size_t at, double height) {
  Trace trace{"grid", {}, {}};
  for (std::size_t index = 0; index < samples; ++index) {
    trace.time.push_back(1e-6 * static_cast<double>(index));
    trace.value.push_back(index == at ? height : -5.0);
  }
  return trace;
}

Trace noise(std::size_t samples, unsigned seed) {
  std::mt19937 engine(seed);
  std::normal_distribution<double> normal;
  Trace trace{"noise", {}, {}};
  for (std::size_t index = 0; index < samples; ++index) {
    trace.time.push_back(static_cast<double>(index));
    trace.value.push_back(normal(engine));
  }
  return trace;
}

}  // namespace

TEST_CASE("a spike of one sample survives thinning wherever it is") {
  for (const std::size_t at : {std::size_t{0}, std::size_t{1}, std::size_t{49999}, std::size_t{50000},
                               std::size_t{99998}, std::size_t{99999}}) {
    for (const double height : {3.0, -300.0}) {
      CAPTURE(at);
      CAPTURE(height);
      const Trace trace = flat_with_spike(100000, at, height);
      const Trace thinned = thin(trace, 100);
      const auto found = std::find(thinned.value.begin(), thinned.value.end(), height);
      REQUIRE(found != thinned.value.end());
      CHECK(thinned.time[static_cast<std::size_t>(found - thinned.value.begin())] == trace.time[at]);
    }
  }
}

TEST_CASE("thinning keeps the ends, the order and both extremes of every column") {
  const Trace trace = noise(20000, 7);
  const Trace thinned = thin(trace, 50);
  CHECK(thinned.time.size() <= 200);
  CHECK(std::is_sorted(thinned.time.begin(), thinned.time.end()));
  CHECK(thinned.time.front() == trace.time.front());
  CHECK(thinned.time.back() == trace.time.back());
  for (std::size_t column = 0; column < 49;
       ++column) {  // samples 400 c to 400 c + 399 fall into column c, but for rounding at its edges
    const auto begin = trace.value.begin() + static_cast<std::ptrdiff_t>(400 * column + 2);
    const double greatest = *std::max_element(begin, begin + 396);
    const double least = *std::min_element(begin, begin + 396);
    const Trace part = clip(thinned, trace.time[400 * column], trace.time[400 * column + 400]);
    CHECK(*std::max_element(part.value.begin(), part.value.end()) >= greatest);
    CHECK(*std::min_element(part.value.begin(), part.value.end()) <= least);
  }
}

TEST_CASE("short traces come back whole") {
  const Trace trace = noise(40, 3);
  CHECK(thin(trace, 10).value == trace.value);
  CHECK(thin(Trace{}, 10).time.empty());
}

TEST_CASE("a gap stays a gap, and numbers beside it stay") {
  Trace trace = flat_with_spike(1000, 0, std::nan(""));
  trace.value[500] = std::nan("");
  trace.value[501] = 7;
  const Trace thinned = thin(trace, 10);
  CHECK(std::count_if(thinned.value.begin(), thinned.value.end(), [](double value) { return std::isnan(value); }) == 2);
  CHECK(std::find(thinned.value.begin(), thinned.value.end(), 7.0) != thinned.value.end());
  CHECK(std::find(thinned.value.begin(), thinned.value.end(), -5.0) != thinned.value.end());
}

TEST_CASE("samples at one instant are thinned too") {
  Trace trace{"jump", std::vector<double>(1000, 0.5), std::vector<double>(1000, 1.0)};
  trace.value[300] = 9;
  const Trace thinned = thin(trace, 10);
  CHECK(thinned.value.size() <= 4);
  CHECK(std::find(thinned.value.begin(), thinned.value.end(), 9.0) != thinned.value.end());
}

TEST_CASE("no columns is an error") { CHECK_THROWS_AS((void)thin(noise(10, 1), 0), std::invalid_argument); }

TEST_CASE("clipping interpolates at its two ends") {
  const Trace ramp{"ramp", {0, 1, 2, 3}, {0, 10, 20, 30}};
  const Trace part = clip(ramp, 0.5, 2.25);
  CHECK(part.time == std::vector<double>{0.5, 1, 2, 2.25});
  CHECK(part.value == std::vector<double>{5, 10, 20, 22.5});
}

TEST_CASE("clipping between two samples gives the line between them") {
  const Trace part = clip(Trace{"ramp", {0, 1}, {0, 10}}, 0.25, 0.75);
  CHECK(part.time == std::vector<double>{0.25, 0.75});
  CHECK(part.value == std::vector<double>{2.5, 7.5});
}

TEST_CASE("clipping keeps both samples of a jump and invents nothing outside the trace") {
  const Trace jump{"jump", {0, 1, 1, 2}, {0, 0, 5, 5}};
  CHECK(clip(jump, 1, 2).value == std::vector<double>{0, 5, 5});
  CHECK(clip(jump, -1, 3).time == jump.time);
  CHECK(clip(jump, 5, 6).time.empty());
  CHECK(clip(jump, -6, -5).time.empty());
}
