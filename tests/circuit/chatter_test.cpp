// SPDX-License-Identifier: MIT
// Arcs that the circuit can light but not keep.
#include <gastube/catalogue/hydrogen.hpp>
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/inductor.hpp>
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

TEST_CASE("a plate that falls through the edge of striking faster than a jump is exact gives up once, not for ever") {
  // After the pulse the coil's last 0.1 A lift 3 pF at the plate by volts, and take them back at 0.03 V/ps, while the
  // gas is full of ions: it strikes and gives up. Settling either moves the plate by some 0.1 mV, for the capacitor
  // that stands on the load leaves a node without charge of its own, and such jumps are extrapolated.
  enum { ground, line, load, plate, trigger, grid, node_count };
  for (const double ohms : {10.0, 30.0}) {
    CAPTURE(ohms);
    auto run = start(wire<node_count>(
        Capacitor{line, load, 12.5e-9, 3e3}, Resistor{load, ground, ohms}, Inductor{line, plate, 5e-6},
        Capacitor{plate, ground, 3e-12, 3e3},
        PulseSource<double>{trigger, ground, {.low = 0, .high = 250, .delay = 0.1e-6, .width = 5e-6}},
        Resistor{trigger, grid, 500.0},
        named("tube", wired(catalogue::type_4c35(), {.plate = plate, .grid = grid, .cathode = ground}))));
    EventLog<double> log;
    while (run.time() < 5e-6 && log.events.size() < 200) REQUIRE(succeeded(run.next_event(5e-6, log)));
    CHECK(run.time() == 5e-6);
    CHECK(log.count("tube", "conducting") == 1);
    CHECK(log.count("tube", "striking") > 1);
  }
}
