// SPDX-License-Identifier: MIT
// Self-stopping circuit: each grid pulse empties a capacitor through the tube into a cathode resistor. 50 kohm and 10
// kohm are printed in J. B. Hoag, Basic Radio, "A self-stopping circuit"; 250 V, 1 uF, drop 15 V, sustaining current 5
// mA and the closed forms were worked for this library.
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/tube/family/ideal.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/energy_check.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/level_watch.hpp"
#include "support_for_tests/tight.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;
using closeness::relative_gap;

namespace {

enum { ground, supply, plate, cathode, grid, node_count };

[[nodiscard]] auto one_pulse(double sustaining) {
  const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = 15, .sustaining_current = sustaining}.build();
  return start(
      wire<node_count>(
          DcSource{supply, ground, 250.0}, Resistor{supply, plate, 50e3}, Capacitor{plate, ground, 1e-6, 250.0},
          Resistor{cathode, ground, 10e3}, wired(tube, {.plate = plate, .grid = grid, .cathode = cathode}),
          PulseSource<double>{grid, ground, {.low = -20, .high = 0, .delay = 10e-3, .width = 10e-6, .period = 0.5}},
          LevelWatch<double>{plate, ground, 247.5, "recharged"}),
      tight<double>());
}

}  // namespace

TEST_CASE("the tube is lit for tau ln((E - v_inf) / (Ve - v_inf)) and the cathode rises to E - Vd") {
  auto run = one_pulse(5e-3);
  EventLog<double> log;
  while (log.count("ideal tube", "conducting") == 0) REQUIRE(succeeded(run.next_event(1.0, log)));
  CHECK(relative_gap(voltage(run, cathode), 235.0) < 1e-9);
  CHECK(relative_gap(current(run, "ideal tube"), 0.0235) < 1e-9);
  REQUIRE(run.run_until(0.45, log) == Status::done);
  REQUIRE(log.count("ideal tube", "recovering") == 1);
  const double out = log.times("ideal tube", "recovering")[0];
  CHECK(relative_gap(out - log.times("ideal tube", "conducting")[0], 0.024121968) < 1e-6);
  // recovery to 99 % of the supply
  REQUIRE(log.count("recharged", "above") == 1);
  CHECK(relative_gap(log.times("recharged", "above")[0] - out, 0.05 * std::log((250 - 65) / 2.5)) < 1e-6);
}

TEST_CASE("every grid pulse gives one discharge") {
  auto run = one_pulse(5e-3);
  EventLog<double> log;
  REQUIRE(run.run_until(2.2, log) == Status::done);
  CHECK(log.count("ideal tube", "conducting") == 5);
  CHECK(log.count("ideal tube", "blocked") == 5);
  CHECK(tube_state(run, "ideal tube") == TubeState::blocked);
}

TEST_CASE("it stops with a sustaining current of 4.0 mA and never with 3.8 mA, for 3.917 mA flow in the steady state") {
  for (const double sustaining : {4.0e-3, 3.8e-3}) {
    auto run = one_pulse(sustaining);
    EventLog<double> log;
    REQUIRE(run.run_until(1.9, log) == Status::done);
    const bool stops = sustaining == 4.0e-3;
    CHECK(log.count("ideal tube", "conducting") == (stops ? 4 : 1));
    CHECK(tube_state(run, "ideal tube") == (stops ? TubeState::blocked : TubeState::conducting));
    if (!stops) CHECK(relative_gap(current(run, "ideal tube"), 235.0 / 60e3) < 1e-6);
  }
}

TEST_CASE("the energy balance of its discharges closes") { check_energy(one_pulse(5e-3), 0.6); }
