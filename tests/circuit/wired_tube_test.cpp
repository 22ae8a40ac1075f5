// SPDX-License-Identifier: MIT
#include <gastube/circuit/wired_tube.hpp>

#include "support_for_tests/bench_tube.hpp"
#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/tube_circuit.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {

enum { ground, supply, plate, drive, grid, node_count };

using Tube = catalogue::RareGasTube<double>;
using Bench = TubeCircuit<Tube>;

const auto tube_place = TubeTerminals{.plate = plate, .grid = grid, .cathode = ground, .heater = ground};

/// The bench tube with its plate at a supply through a resistor and its grid at a steady voltage through another.
[[nodiscard]] Bench bench(double volts, double plate_resistor, double grid_volts, double grid_resistor) {
  return {.nodes = node_count,
          .tubes = {wired(bench_tube<double>(), tube_place)},
          .sources = {{supply, ground, volts}, {drive, ground, grid_volts}},
          .resistors = {{supply, plate, plate_resistor}, {drive, grid, grid_resistor}}};
}

/// The same, lit by a touch of positive grid supply before the run is handed over.
template <class Run>
void light(Run& run, double back_to) {
  REQUIRE(succeeded(set_source(run, 1, 10.0)));
  REQUIRE(run.run_until(run.time() + 100e-6) == Status::done);
  REQUIRE(tube_state(run, "bench tube") == TubeState::conducting);
  REQUIRE(succeeded(set_source(run, 1, back_to)));
  REQUIRE(run.run_until(run.time() + 10e-6) == Status::done);
}

}  // namespace

TEST_CASE("a tube carries its type as its name, and a shield grid left out is tied to the cathode") {
  const auto triode = wired(bench_tube<double>(), {.plate = 1, .grid = 2, .cathode = 3, .heater = 3});
  CHECK(std::string(triode.label) == "bench tube");
  CHECK(triode.terminals() == std::array<Node, 5>{1, 2, 3, 3, 3});
  const auto tetrode = wired(bench_tube<double>(), {.plate = 1, .grid = 2, .shield = 5, .cathode = 3, .heater = 3});
  CHECK(tetrode.terminals() == std::array<Node, 5>{1, 2, 5, 3, 3});
}

TEST_CASE("an unlit tube passes the electron current of its laws and no more") {
  auto run = bench(48, 1e3, -1.2, 1e4).start();
  REQUIRE(run.run_until(1e-3) == Status::done);
  CHECK(tube_state(run, "bench tube") == TubeState::blocked);
  const Conditions<double> at{voltage(run, plate), voltage(run, grid), 0.0};
  const double expected = bench_laws<double>().electrons(at, 1.0).current;
  CHECK(expected > 1e-7);
  CHECK(relative_gap(current(run, "bench tube"), expected) < 1e-9);
  const GridPaths<double> paths = bench_laws<double>().grid.before(at, 1.0, 0.0);
  CHECK(paths.from_plate > 0);
  CHECK(relative_gap((48 - voltage(run, plate)) / 1e3, expected + paths.from_plate) < 1e-9);
  CHECK(relative_gap((-1.2 - voltage(run, grid)) / 1e4, paths.to_cathode - paths.from_plate) < 1e-9);
}

TEST_CASE("a lit tube takes (E - drop) / (R + slope) and its arc drop") {
  auto run = bench(100, 1e3, -3, 1e5).start();
  light(run, -3);
  // plate resistor: 100 - v = 1 kohm times (i + ion share of i); v = 10 V + 2 ohm i
  const double i = 90.0 / (1e3 * 1.001 + 2);
  CHECK(relative_gap(current(run, "bench tube"), i) < 1e-9);
  CHECK(relative_gap(voltage(run, plate), 10 + 2 * i) < 1e-9);
}

TEST_CASE("the grid of a lit tube collects ions through its resistor and cannot follow a negative supply") {
  auto run = bench(100, 1e3, -3, 1e6).start();
  light(run, -12);
  // ions: a thousandth of the plate current, less the leakage of 1 nS; they lift the grid through 1 Mohm to the plasma
  CHECK(voltage(run, grid) > 7.9);
  auto stiff = bench(100, 1e3, -3, 1e4).start();
  light(stiff, -12);
  const double i = current(stiff, "bench tube"), ions = 1e-3 * i;
  const double expected = (-12 + 1e4 * ions) / (1 + 1e4 * 1e-9);
  CHECK(relative_gap(voltage(stiff, grid), expected) < 1e-9);
  CHECK(tube_state(stiff, "bench tube") == TubeState::conducting);
}

TEST_CASE("a positive grid supply lifts the grid of a lit tube little above its plasma") {
  auto run = bench(100, 1e3, -3, 47e3).start();
  light(run, 50);
  const double ions = 1e-3 * current(run, "bench tube"), g = voltage(run, grid);
  CHECK(relative_gap((50 - g) / 47e3 + ions, (g - 8) / 1e3 + 1e-9 * g) < 1e-9);
  CHECK(g > 8);
  CHECK(g < 10);
}

TEST_CASE("a tube lights after its firing delay, and every change is logged with its cause") {
  // Step of the grid to 3 V at 1 ms: delay = 1 us + 20e-6 V s / overdrive, closed form
  Bench circuit = bench(100, 1e3, 0, 1.0);
  circuit.sources.pop_back();
  circuit.pulses = {{drive, ground, {.low = -6, .high = 3, .delay = 1e-3, .width = 1.0}}};
  auto run = circuit.start();
  REQUIRE(run.run_until(1e-3) == Status::done);
  const Tube tube = bench_tube<double>();
  const Conditions<double> at{voltage(run, plate), voltage(run, grid), 0.0};
  const double overdrive = at.grid - tube.critical_grid(at, 0.0);
  EventLog<double> log;
  REQUIRE(run.run_until(2e-3, log) == Status::done);
  REQUIRE(log.events.size() == 1);  // the step over the critical voltage itself was logged before
  CHECK(std::string(log.events[0].change.subject) == "bench tube");
  CHECK(std::string(log.events[0].change.from) == "striking");
  CHECK(std::string(log.events[0].change.to) == "conducting");
  CHECK(std::string(log.events[0].change.why) == "discharge formed and fed");
  CHECK(relative_gap(log.events[0].time - 1e-3, 1e-6 + 20e-6 / overdrive) < 1e-6);
}

TEST_CASE("a grid voltage that rises slowly through the critical one strikes there to the last digits") {
  Bench circuit = bench(100, 1e3, 0, 1.0);
  circuit.sources.pop_back();
  circuit.pulses = {{drive, ground, {.low = -6, .high = 4, .delay = 0, .width = 1.0, .rise = 10.0}}};
  auto run = circuit.start();
  EventLog<double> log;
  while (log.events.empty()) REQUIRE(succeeded(run.next_event(20.0, log)));
  CHECK(std::string(log.events[0].change.to) == "striking");
  const Conditions<double> at{voltage(run, plate), voltage(run, grid), 0.0};
  CHECK(absolute_gap(at.grid, bench_tube<double>().critical_grid(at, 0.0)) < 1e-12);
}

TEST_CASE("a cold tube refuses to fire until its heating time, then fires") {
  Bench circuit = bench(100, 1e3, 5, 1e4);
  circuit.tubes = {wired(bench_tube<double>(), tube_place, CathodeStart::cold)};
  auto run = circuit.start();
  EventLog<double> log;
  REQUIRE(run.run_until(9.9, log) == Status::done);
  CHECK(log.events.empty());
  CHECK(tube_state(run, "bench tube") == TubeState::cold);
  REQUIRE(run.run_until(10.1, log) == Status::done);
  REQUIRE(log.count("bench tube", "conducting") == 1);
  CHECK(relative_gap(log.times("bench tube", "blocked")[0], 10.0) < 1e-12);
  CHECK(std::string(log.events[0].change.why) == "cathode ready");
}

TEST_CASE("a tube that the circuit cannot feed strikes but never conducts") {
  auto run = bench(100, 90.1 / 5e-3, -3, 1e4).start();  // at most 4.995 mA, 5 mA are wanted
  REQUIRE(succeeded(set_source(run, 1, 10.0)));
  EventLog<double> log;
  REQUIRE(run.run_until(5e-3, log) == Status::done);
  CHECK(log.count("bench tube", "conducting") == 0);
  CHECK(tube_state(run, "bench tube") == TubeState::striking);
  auto fed = bench(100, 89.0 / 5e-3, -3, 1e4).start();
  REQUIRE(succeeded(set_source(fed, 1, 10.0)));
  REQUIRE(fed.run_until(5e-3) == Status::done);
  CHECK(tube_state(fed, "bench tube") == TubeState::conducting);
}

TEST_CASE("beyond its inverse breakdown a tube arcs back, and recovers when that current is gone") {
  Bench circuit = bench(0, 1e3, -20, 1e4);
  circuit.sources.erase(circuit.sources.begin());
  circuit.sines = {
      {supply, ground, {.amplitude = 600, .frequency = 50, .phase = 3.14159265358979}}};  // starts downwards
  auto run = circuit.start();
  EventLog<double> log;
  REQUIRE(run.run_until(12e-3, log) == Status::done);
  REQUIRE(log.count("bench tube", "reverse breakdown") == 1);
  // closed form: 600 sin(wt) = 500 V
  const double when = std::asin(500.0 / 600.0) / (2 * 3.14159265358979 * 50);
  CHECK(relative_gap(log.times("bench tube", "reverse breakdown")[0], when) < 1e-6);
  // out again as the source comes within the drop and 5 mA times 1 kohm of zero
  const double out = (3.14159265358979 - std::asin(25.0 / 600.0)) / (2 * 3.14159265358979 * 50);
  REQUIRE(log.count("bench tube", "recovering") == 1);
  CHECK(relative_gap(log.times("bench tube", "recovering")[0], out) < 1e-6);
}

TEST_CASE("the residual ionisation follows the current while lit and dies away with its time constant when out") {
  auto run = bench(100, 1e3, -3, 1e4).start();
  light(run, -20);
  REQUIRE(run.run_until(run.time() + 1e-3) == Status::done);
  const double lit = follower(run, 0);
  CHECK(relative_gap(lit, current(run, "bench tube") / 0.1) < 1e-6);  // 1 at the reference current of 0.1 A
  REQUIRE(succeeded(set_source(run, 0, 0.0)));
  CHECK(tube_state(run, "bench tube") == TubeState::recovering);
  const double from = run.time();
  REQUIRE(run.run_until(from + 20e-6) == Status::done);
  CHECK(relative_gap(follower(run, 0), lit * std::exp(-2.0)) < 1e-6);
}

TEST_CASE(
    "a tube that a meter's resistance alone feeds is solved from the start, with its grid as positive as may be") {
  // its electron current saturates within a volt of the plate: a kink between two nearly straight lines
  for (const double ohms : {1e4, 1e5, 1e6, 1e7})
    for (const double grid_volts : {1.0, 3.0, 10.0, 30.0}) {
      CAPTURE(ohms);
      CAPTURE(grid_volts);
      Bench circuit = bench(0, ohms, grid_volts, 1e4);
      circuit.sources.erase(circuit.sources.begin());
      circuit.sources.push_back({supply, ground, 48});
      auto run = circuit.start();
      REQUIRE(run.run_until(1e-4) == Status::done);
      const Conditions<double> at{voltage(run, plate), voltage(run, grid), 0.0};
      const double ions = bench_laws<double>().grid.before(at, 1.0, 0.0).from_plate;
      const double electrons = bench_laws<double>().electrons(at, 1.0).current;
      CHECK(relative_gap((48 - at.plate) / ohms, electrons + ions) < 1e-6);
      circuit.sources.pop_back();
      circuit.pulses = {{supply, ground, {.low = -20, .high = 48, .delay = 1e-4, .width = 1e-4, .period = 2e-4}}};
      CHECK(circuit.start().run_until(1e-3) == Status::done);
    }
}
