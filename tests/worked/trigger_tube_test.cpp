// SPDX-License-Identifier: MIT
// A trigger tube as an interval timer: 180 V through 2.2 Mohm charge 1 uF at the trigger, which fires at 125 V. Circuit
// type: Neale, Cold Cathode Tube Circuit Design, contents, "Interval timer"; numbers worked for this library.
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/tube/family/trigger_tube.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/energy_check.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/shared_run.hpp"
#include "support_for_tests/tube_circuit.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;
using closeness::relative_gap;

namespace {

enum { ground, anode_supply, trigger_supply, anode, trigger, node_count };

using Tube = TriggerTube<StandardTriggerLaws<double>>;
using Bench = TubeCircuit<Tube>;

[[nodiscard]] Tube tube() {
  return Tube({.ignition = transfer_through(300.0, 105.0, 35e-6, 170.0),
               .grid = {.ignition = 125, .drop = 100, .resistance = 5e3, .least_current = 5e-6, .ion_share = 1e-3},
               .delay = {20e-6},
               .arc = {104.5, 25},
               .fall = {0.5e-6},
               .sustaining = {2e-3},
               .recovery = {0.3e-3, 20e-3},
               .electrons = {0.0}},
              "tube");
}
/// 250 V at the anode through 7.25 kohm; at the trigger a supply, a resistor and a capacitor.
[[nodiscard]] Bench bench(double trigger_volts, double ohms, double farads) {
  return {.nodes = node_count,
          .tubes = {wired(tube(), {.anode = anode, .trigger = trigger, .cathode = ground})},
          .sources = {{anode_supply, ground, 250.0}, {trigger_supply, ground, trigger_volts}},
          .resistors = {{anode_supply, anode, 7.25e3}, {trigger_supply, trigger, ohms}},
          .capacitors = {{trigger, ground, farads}}};
}

}  // namespace

TEST_CASE("the timer fires after RC ln(E / (E - Vt)), and the tube then passes (Vb - Vm) / Ra") {
  auto run = bench(180, 2.2e6, 1e-6 - 3e-12).start();
  EventLog<double> log;
  REQUIRE(run.run_until(2.7, log) == Status::done);
  const auto struck = log.times("tube", "trigger glow"), fired = log.times("tube", "conducting");
  REQUIRE(struck.size() >= 1);
  REQUIRE(fired.size() == 1);
  CHECK(relative_gap(struck[0], 2.60837206) < 1e-6);
  CHECK(fired[0] - struck[0] < 50e-6);
  CHECK(relative_gap(current(run, "tube"), (250 - 104.5) / 7275) < 1e-6);
  // the capacitor has been emptied to the trigger's drop, where the main gap's glow holds it
  CHECK(std::fabs(voltage(run, trigger) - 100) < 1);
}

TEST_CASE("a capacitor too small for the main gap's formation does not fire the tube, and a larger one does") {
  const auto fires = [](double farads) {
    auto run = bench(180, 100e6, farads).start();
    EventLog<double> log;
    const Status status = run.run_until(200e6 * farads, log);
    REQUIRE(status == Status::done);
    CHECK(log.count("tube", "trigger glow") >= 1);
    return log.count("tube", "conducting") > 0;
  };
  CHECK_FALSE(fires(20e-12));
  CHECK(fires(10e-9));
}

TEST_CASE("once it conducts nothing at the trigger puts the tube out, only want of anode current does") {
  auto run = bench(140, 10e3, 1e-9).start();
  REQUIRE(run.run_until(5e-3) == Status::done);
  REQUIRE(tube_state(run, "tube") == TubeState::conducting);
  for (const double volts : {0.0, -100.0, 90.0}) {
    REQUIRE(succeeded(set_source(run, 1, volts)));
    REQUIRE(run.run_until(run.time() + 5e-3) == Status::done);
    CHECK(tube_state(run, "tube") == TubeState::conducting);
  }
  REQUIRE(succeeded(set_source(run, 0, 110.0)));  // 0.76 mA, 2 wanted
  REQUIRE(run.run_until(run.time() + 5e-3) == Status::done);
  CHECK(tube_state(run, "tube") == TubeState::dark);
  REQUIRE(succeeded(set_source(run, 0, 250.0)));
  REQUIRE(run.run_until(run.time() + 5e-3) == Status::done);
  CHECK(tube_state(run, "tube") == TubeState::dark);
}

TEST_CASE("a trigger fed less than its least current swings on its own capacitance instead of flickering without end") {
  Bench circuit = bench(160, 20e6, 1e-12);  // 3 uA at its drop, 5 wanted
  circuit.sources[0].voltage = 120;         // too little for the main gap to follow
  auto run = circuit.start();
  EventLog<double> log;
  REQUIRE(run.run_until(2e-3, log) == Status::done);
  CHECK(log.count("tube", "trigger glow") > 5);
  CHECK(log.count("tube", "trigger glow") < 2e-3 / 20e-6);
}

TEST_CASE("the timer's energy balance closes, trigger current included") {
  check_energy(bench(180, 2.2e6, 1e-6 - 3e-12).start(), 2.7, 1e-6);
}
