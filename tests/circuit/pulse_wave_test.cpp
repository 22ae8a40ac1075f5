// SPDX-License-Identifier: MIT
// The shape of one pulse and of a train without end is tested where the source is (sources_test.cpp).
#include <gastube/circuit/pulse_wave.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>

#include "support_for_tests/shared_run.hpp"

#include <doctest/doctest.h>

#include <vector>

using namespace gastube;

namespace {
/// All corners from the start on, at most 100.
[[nodiscard]] std::vector<double> corners(const PulseWave<double>& wave) {
  std::vector<double> times;
  auto memory = wave.memory(-1.0);
  for (double t = wave.next_breakpoint(0, memory); is_limited(t) && times.size() < 100;
       t = wave.next_breakpoint(t, memory)) {
    times.push_back(t);
    wave.pass_breakpoint(t, memory);
  }
  return times;
}
}  // namespace

TEST_CASE("a train of three has the edges of three pulses and rests for ever after") {
  const PulseWave<double> wave{.low = -1, .high = 2, .delay = 1, .width = 2, .period = 10, .rise = 1, .count = 3};
  CHECK(corners(wave) == std::vector<double>{1, 2, 4, 11, 12, 14, 21, 22, 24});
  CHECK(wave.value(22.5, wave.memory(22.5)) == 2.0);
  CHECK(wave.value(32.5, wave.memory(32.5)) == -1.0);
  CHECK(wave.value(1e6, wave.memory(1e6)) == -1.0);
}

TEST_CASE("without a count a train has no end, without a period one pulse") {
  CHECK(corners({.low = 0, .high = 1, .delay = 0, .width = 1, .period = 2}).size() == 100);
  CHECK(corners({.low = 0, .high = 1, .delay = 0, .width = 1}).size() == 2);
  CHECK(corners({.low = 0, .high = 1, .delay = 0, .width = 1, .count = 1}).size() == 2);
}

TEST_CASE("a run sees as many pulses as are counted") {
  enum { ground, out, node_count };
  auto run = shared_start(wire<node_count>(
      PulseSource<double>{out, ground, {.low = 0, .high = 5, .delay = 1e-3, .width = 1e-3, .period = 3e-3, .count = 4}},
      Resistor{out, ground, 1e3}));
  int edges = 0;
  while (run.time() < 0.1) {
    const double before = voltage(run, out);
    REQUIRE(succeeded(run.step(0.1)));
    edges += before != voltage(run, out) ? 1 : 0;
  }
  CHECK(edges == 8);
}

TEST_CASE("several pulses need a period") {
  CHECK_THROWS_WITH_AS((PulseSource<double>{1, 0, {.low = 0, .high = 1, .delay = 0, .width = 1, .count = 2}}),
                       "pulse source: period = 0 s, allowed: above 0 s", InvalidParameter);
  CHECK_THROWS_WITH_AS((PulseSource<double>{1, 0, {.low = 0, .high = 1, .delay = 0, .width = 1, .count = -1}}),
                       "pulse source: count = -1, allowed: at least 0", InvalidParameter);
}
