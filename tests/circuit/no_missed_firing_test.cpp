// SPDX-License-Identifier: MIT
// Events that no error estimate points to: every guard here moves by time alone.
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/tube/family/ideal.hpp>

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <string>

using namespace gastube;

TEST_CASE("a run misses no firing though nothing in the circuit stores charge") {
  // A 60 Hz plate supply and a grid that swings through cut-off once in two seconds, both sines. In 10 s the tube fires
  // in 380 of 600 cycles: counted once with steps of 10 us, and again here from the condition itself.
  enum { gnd, source, cathode, grid, count };
  const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = 15, .sustaining_current = 1e-3}.build();
  auto run = start(wire<count>(SineSource<double>{source, gnd, {165, 60}},
                               wired(tube, {.plate = source, .grid = grid, .cathode = cathode}),
                               Resistor{cathode, gnd, 1e3}, SineSource<double>{grid, cathode, {20, 0.5, 0.7}}));
  struct Fired {
    int cycles = 0;
    double last = -1;
    void change(double t, const Change& c) {
      if (std::string(c.to) == "conducting" && t - last > 4e-3) {
        ++cycles;
        last = t;
      }
    }
  } fired;
  REQUIRE(run.run_until(10.0, fired) == Status::done);
  int expected = 0;
  for (int cycle = 0; cycle < 600; ++cycle) {
    bool fires = false;
    for (int k = 0; k < 5000; ++k) {  // half a period, in steps of 1.7 us
      const double t = (cycle + k / 10000.0) / 60;
      const double v = 165 * std::sin(120 * std::numbers::pi * t);
      fires = fires || (v > 16 && 20 * std::sin(std::numbers::pi * t + 0.7) > -v / 20);
    }
    expected += fires ? 1 : 0;
  }
  CHECK(expected == 380);
  CHECK(fired.cycles == expected);
}
