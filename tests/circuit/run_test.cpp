// SPDX-License-Identifier: MIT
#include <gastube/circuit/filament_lamp.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/voltmeter.hpp>
#include <gastube/tube/family/ideal.hpp>

#include "support_for_tests/bench_circuit.hpp"
#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {
enum { ground, supply, plate, node_count };
}

TEST_CASE("a run is read by node, by part number and by label; ground is at nothing") {
  enum { gnd, source, top, drive, count };
  const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = 12, .sustaining_current = 1e-3}.build();
  auto run = start(
      wire<count>(DcSource{source, gnd, 48.0}, named("signal", FilamentLamp<double>{source, top, {24, 0.04}}),
                  DcSource{drive, gnd, 0.0}, named("T1", wired(tube, {.plate = top, .grid = drive, .cathode = gnd})),
                  Voltmeter{top, gnd, 1e6}),
      Settings<double>{.relative = 1e-9, .absolute = 1e-9});
  REQUIRE(run.run_until(1e-3) == Status::done);
  CHECK(voltage(run, gnd) == 0.0);
  CHECK(relative_gap(voltage(run, top), 12.0) < 1e-12);
  CHECK(relative_gap(current(run, "signal"), current(run, "T1") + 12e-6) < 1e-8);  // 12 uA for the meter
  CHECK(current(run, "signal") == current(run, 1));
  CHECK(tube_state(run, "T1") == TubeState::conducting);
  CHECK(tube_state(run, 3) == TubeState::conducting);
  CHECK(tube_state(run, "signal") == TubeState::cold);  // no tube
  CHECK(own_unknown(run, 1) > 0.11);                    // the filament's temperature
  CHECK(own_unknown(run, 3) == current(run, "T1"));
  CHECK(relative_gap(follower(run, 4, 0), 12e-3) < 1e-9);
  CHECK(follower(run, 1, 0) == 0.0);  // a lamp has no follower
  CHECK(current(run, 99) == 0.0);     // no such part
  CHECK_THROWS_AS(static_cast<void>(current(run, "no such part")), InvalidRequest);
}

TEST_CASE("a run takes the scheme it is given") {
  const auto circuit =
      wire<node_count>(DcSource{supply, ground, 10.0}, Resistor{supply, plate, 1e3}, Capacitor{plate, ground, 1e-6});
  const auto error = [&](auto run) {
    REQUIRE(run.run_until(1e-3) == Status::done);
    return relative_gap(voltage(run, plate), 10 * (1 - std::exp(-1.0)));
  };
  const Settings<double> fixed{.fixed_step = 1e-5};
  const double euler = error(start<BackwardEuler>(circuit, fixed)), second = error(start<TrBdf2>(circuit, fixed));
  // local error of backward Euler h/2 per time constant, relative (10 - v)/v = 0.582: closed form
  CHECK(relative_gap(euler, 0.582 * 0.005) < 0.02);
  CHECK(second < 1e-5);
}

TEST_CASE("a loop of ideal sources does not start, and says why") {
  auto run =
      BenchCircuit<double>{.nodes = 2, .sources = {{1, 0, 5.0}, {1, 0, 6.0}}, .resistors = {{1, 0, 1.0}}}.start();
  CHECK(run.start_status() == Status::unsolvable);
  CHECK(run.step(1.0) == Status::unsolvable);
  CHECK(run.run_until(1.0) == Status::unsolvable);
  CHECK(run.next_event(1.0) == Status::unsolvable);
  CHECK(run.time() == 0.0);
}

TEST_CASE("a node without a path for its current does not start") {
  auto run =
      BenchCircuit<double>{
          .nodes = 3, .sources = {{1, 0, 5.0}}, .resistors = {{1, 0, 1.0}}, .contacts = {{1, 2, false, 0.0}}}
          .start();
  CHECK(run.start_status() == Status::unsolvable);
  auto closed =
      BenchCircuit<double>{
          .nodes = 3, .sources = {{1, 0, 5.0}}, .resistors = {{1, 0, 1.0}}, .contacts = {{1, 2, true, 0.0}}}
          .start();
  CHECK(succeeded(closed.start_status()));
  CHECK(voltage(closed, 2) == 5.0);
}

TEST_CASE("a change that cannot be settled is taken back altogether") {
  auto run =
      BenchCircuit<double>{
          .nodes = 2, .sources = {{1, 0, 5.0}}, .resistors = {{1, 0, 10.0}}, .contacts = {{1, 0, false, 0.0}}}
          .start();
  REQUIRE(run.run_until(1e-3) == Status::done);
  CHECK(run.alter([](auto& circuit, auto& mode) {
    circuit.template entry<1>()[0].resistance = 20.0;
    std::get<4>(mode)[0].closed = true;  // across the ideal source
  }) == Status::unsolvable);
  CHECK(std::get<4>(run.mode())[0].closed == false);
  CHECK(run.system().template entry<1>()[0].resistance == 10.0);
  REQUIRE(run.run_until(2e-3) == Status::done);
  CHECK(relative_gap(current(run, "resistor"), 0.5) < 1e-15);
}

TEST_CASE("a source changed between steps acts from that instant on and leaves charges alone") {
  auto run = BenchCircuit<double>{.nodes = node_count,
                                  .sources = {{supply, ground, 10.0}},
                                  .resistors = {{supply, plate, 1e3}},
                                  .capacitors = {{plate, ground, 1e-6}}}
                 .start();
  REQUIRE(run.run_until(1e-3) == Status::done);
  const double before = voltage(run, plate);
  REQUIRE(run.alter([](auto& circuit, auto&) { circuit.template entry<0>()[0].voltage = -10.0; }) == Status::event);
  CHECK(voltage(run, supply) == -10.0);
  CHECK(relative_gap(voltage(run, plate), before) < 1e-12);
  REQUIRE(run.run_until(3e-3) == Status::done);
  CHECK(relative_gap(voltage(run, plate), -10 + (before + 10) * std::exp(-2.0)) < tight_reach<double>);
}

TEST_CASE("a saved state restored goes on to the same bits, and a run may be stepped in any portions") {
  const auto begin = [] {
    return BenchCircuit<double>{.nodes = node_count,
                                .sources = {{supply, ground, 10.0}},
                                .resistors = {{supply, plate, 1e3}},
                                .capacitors = {{plate, ground, 1e-6}}}
        .start();
  };
  auto run = begin();
  REQUIRE(run.run_until(0.4e-3) == Status::done);
  const auto saved = run.state();
  REQUIRE(run.run_until(1e-3) == Status::done);
  const double first = voltage(run, plate);
  run.restore(saved);
  CHECK(run.time() == 0.4e-3);
  REQUIRE(run.run_until(1e-3) == Status::done);
  CHECK(voltage(run, plate) == first);
  auto portions = begin();
  for (int k = 1; k <= 100; ++k) REQUIRE(portions.run_until(k * 1e-5) == Status::done);
  CHECK(relative_gap(voltage(portions, plate), first) < tight_reach<double>);
}

TEST_CASE("a run of float goes on where its clock is too coarse for single steps") {
  // at 64 s a float resolves 7.6 us; a ring of 1 MHz needs far shorter steps
  auto run = BenchCircuit<float>{.nodes = node_count,
                                 .sources = {{supply, ground, 10.0F}},
                                 .resistors = {{supply, plate, 1e3F}},
                                 .capacitors = {{plate, ground, 1e-9F}},
                                 .inductors = {{plate, ground, 25.33e-6F, 1.0F}}}
                 .start();
  REQUIRE(run.run_until(64.0F) == Status::done);
  const double amperes = 10.0 / 1001, volts = amperes;
  CHECK(relative_gap(voltage(run, plate), volts) < 1e-5);
  const long steps = run.steps();
  REQUIRE(run.alter([](auto& circuit, auto&) { circuit.template entry<1>()[0].resistance = 1e6F; }) == Status::event);
  const float end = 64.0F + 4 * 7.6293945e-6F;  // some thirty periods on
  REQUIRE(run.run_until(end) == Status::done);
  CHECK(run.time() == end);
  CHECK(run.steps() - steps > 500);
  // closed form: the energy of the ring dies with exp(-(R / L + 1 / (Rp C)) t)
  const double v = double(voltage(run, plate)), i = double(own_unknown(run, 3)),
               damping = std::exp(-30.5176e-6 * (1 / 25.33e-6 + 1e3));
  const double energy = 0.5e-9 * v * v + 0.5 * 25.33e-6 * i * i,
               start = 0.5e-9 * volts * volts + 0.5 * 25.33e-6 * amperes * amperes;
  CHECK(relative_gap(energy, start * damping) < 0.02);
}
