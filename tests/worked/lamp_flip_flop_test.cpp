// SPDX-License-Identifier: MIT
// Two filament lamps that put each other's tubes out: 40 V, drop 12 V, 700 ohm hot, a twelfth of it cold, 1 uF. Over
// the time of a commutation the lamps are resistors, the outgoing one hot, the incoming one cold. Closed forms and
// numbers worked for this library.
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/tube/family/ideal.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/level_watch.hpp"
#include "support_for_tests/tight.hpp"

#include <doctest/doctest.h>

using namespace gastube;
using closeness::relative_gap;

TEST_CASE("the hot lamp holds its tube off for Rh C ln 2, and the cold one takes 0.56 A") {
  enum { ground, supply, hot, cold, grid_1, grid_2, node_count };
  const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = 12, .sustaining_current = 1e-3}.build();
  const auto pulse = [](Node grid, double at) {
    return PulseSource<double>{grid, ground, {.low = -10, .high = 0, .delay = at, .width = 1e-6}};
  };
  auto run = start(
      wire<node_count>(DcSource{supply, ground, 40.0}, Resistor{supply, hot, 700.0}, Resistor{supply, cold, 700.0 / 12},
                       Capacitor{cold, hot, 1e-6}, pulse(grid_1, 1e-3), pulse(grid_2, 20e-3),
                       named("T1", wired(tube, {.plate = hot, .grid = grid_1, .cathode = ground})),
                       named("T2", wired(tube, {.plate = cold, .grid = grid_2, .cathode = ground})),
                       LevelWatch<double>{hot, ground, 12, "drop"}, LevelWatch<double>{hot, ground, 0, "zero"}),
      tight<double>());
  EventLog<double> log;
  while (log.count("T2", "conducting") == 0) REQUIRE(succeeded(run.next_event(1.0, log)));
  CHECK(relative_gap(voltage(run, hot), -16.0) < 1e-6);
  CHECK(relative_gap(current(run, "T2"), 0.56) < 1e-6);
  const double fired = run.time();
  REQUIRE(run.run_until(fired + 1e-3, log) == Status::done);
  CHECK(relative_gap(log.times("zero", "above").back() - fired, 0.000235531) < 1e-5);
  CHECK(relative_gap(log.times("drop", "above").back() - fired, 0.000485203026) < 1e-6);
}
