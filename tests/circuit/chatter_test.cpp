// SPDX-License-Identifier: MIT
// Arcs that the circuit can light but not keep.
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/tube/family/ideal.hpp>

#include "support_for_tests/event_log.hpp"

#include <doctest/doctest.h>

using namespace gastube;

TEST_CASE("a stray charge that lights an arc which then starves makes an oscillation, not an endless chatter") {
  // 100 V through 10 kohm feed 9 mA, 10 mA are wanted; 1 nF of stray capacitance lights the arc again and again while
  // the grid is up. A real tube strikes a little above its drop, so each discharge takes some charge and some time.
  enum { ground, supply, plate, grid, node_count };
  const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = 10, .sustaining_current = 10e-3}.build();
  auto run = start(wire<node_count>(DcSource{supply, ground, 100.0}, Resistor{supply, plate, 10e3},
                                    Capacitor{plate, ground, 1e-9}, DcSource{grid, ground, 0.0},
                                    wired(tube, {.plate = plate, .grid = grid, .cathode = ground})));
  EventLog<double> log;
  while (run.time() < 10e-6 && log.events.size() < 2000) REQUIRE(succeeded(run.next_event(10e-6, log)));
  CHECK(run.time() == 10e-6);  // some hundred discharges, none of them a mere name
  CHECK(log.count("ideal tube", "conducting") < 500);
}
