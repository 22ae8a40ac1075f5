// SPDX-License-Identifier: MIT
// Tubes put out by the circuit in series with them: by a coil and a capacitor that ring, and by the zero of an
// alternating supply. Closed forms worked for this library; 0.99 ms and -200 V are a printed solid-state example (P. S.
// Bimbhra's numbering, "Example 5.1"), found as a solved problem.
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/contact.hpp>
#include <gastube/circuit/inductor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/tube/family/ideal.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/level_watch.hpp"
#include "support_for_tests/shared_run.hpp"
#include "support_for_tests/tight.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

using namespace gastube;
using closeness::relative_gap;

namespace {

enum { ground, supply, cathode, top, grid, bleeder, node_count };

/// Supply, tube, coil and capacitor in series; the grid is pulsed at 0.1 ms. A load across the capacitor is switched on
/// by its contact.
[[nodiscard]] auto ringing(double volts, double drop, double henries, double ohms, double farads) {
  const auto tube = IdealTube<double>{.control_ratio = 100, .arc_drop = drop}.build();
  return shared_start(
      wire<node_count>(DcSource{supply, ground, volts},
                       named("tube", wired(tube, {.plate = supply, .grid = grid, .cathode = cathode})),
                       Inductor{cathode, top, henries, ohms}, Capacitor{top, ground, farads},
                       PulseSource<double>{grid, cathode, {.low = -20, .high = 0, .delay = 1e-4, .width = 1e-6}},
                       Contact{top, bleeder, false, 0.0}, Resistor{bleeder, ground, 5e3},
                       LevelWatch<double>{supply, top, 0, "tube's voltage"}),
      tight<double>());
}
struct Peak : EventLog<double> {
  double amperes = 0;
  template <class Run>
  void step(const Run& run) {
    amperes = std::max(amperes, gastube::current(run, "tube"));
  }
};
/// Goes on to the tube's extinction.
template <class Run>
[[nodiscard]] Peak to_extinction(Run& run) {
  Peak seen;
  while (seen.count("tube", "recovering") == 0) REQUIRE(succeeded(run.next_event(1.0, seen)));
  return seen;
}

}  // namespace

TEST_CASE("150 V, 10 mH, 40 ohm and 1 uF conduct for 0.3206 ms and leave 206.1 V on the capacitor") {
  auto run = ringing(150, 15, 10e-3, 40, 1e-6);
  const Peak seen = to_extinction(run);
  CHECK(relative_gap(run.time() - seen.times("tube", "conducting")[0], 0.000320637458) < 1e-6);
  CHECK(relative_gap(voltage(run, top), 206.093781) < 1e-6);
  CHECK(relative_gap(seen.amperes, 1.02078) < 1e-4);  // of the steps, the nearest to the crest
  // With 5 kohm across the capacitor the tube's voltage is back at 0 after RL C ln(vC / E).
  const double out = run.time();
  REQUIRE(succeeded(run.alter([](auto&, auto& mode) { std::get<5>(mode)[0].closed = true; })));
  EventLog<double> log;
  REQUIRE(run.run_until(out + 2e-3, log) == Status::done);
  REQUIRE(log.count("tube's voltage", "above") == 1);
  CHECK(relative_gap(log.times("tube's voltage", "above")[0] - out, 0.00158848) < 1e-5);
}

TEST_CASE("200 V, 5 mH and 20 uF without loss conduct for 0.99 ms and leave the tube with -200 V") {
  auto run = ringing(200, 1e-6, 5e-3, 0, 20e-6);  // drop: 1 uV stands for none
  const Peak seen = to_extinction(run);
  const double lit = run.time() - seen.times("tube", "conducting")[0];
  CHECK(relative_gap(lit, 0.000993458827) < 1e-6);
  CHECK(relative_gap(lit, 0.99e-3) < 5e-3);
  CHECK(relative_gap(200 - voltage(run, top), -200.0) < 1e-6);
}

TEST_CASE("on 24 V, 60 Hz the tube has 10.30 ms from its extinction to the next 14 V") {
  enum { gnd, line, plate, g, count };
  const auto tube = IdealTube<double>{.control_ratio = 1, .arc_drop = 10, .sustaining_current = 5e-3}.build();
  auto run = shared_start(wire<count>(SineSource<double>{line, gnd, {24 * std::numbers::sqrt2, 60}},
                                      Resistor{line, plate, 100.0}, DcSource{g, gnd, -14.0},
                                      named("tube", wired(tube, {.plate = plate, .grid = g, .cathode = gnd}))),
                          Settings<double>{.relative = 1e-10, .absolute = 1e-10, .longest_step = 50e-6});
  EventLog<double> log;
  REQUIRE(run.run_until(1.6 / 60, log) == Status::done);
  const auto lit = log.times("tube", "conducting"), out = log.times("tube", "recovering");
  REQUIRE(lit.size() == 2);
  REQUIRE(out.size() >= 1);
  CHECK(relative_gap(out[0] * 60 * 360, 161.979) < 1e-5);
  CHECK(relative_gap(lit[1] - out[0], 0.0102954293) < 1e-6);
}
