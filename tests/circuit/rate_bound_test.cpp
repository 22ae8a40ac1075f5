// SPDX-License-Identifier: MIT
// Currents and voltages that only the rate of a source fixes: a capacitor straight across it, a coil in an open path.
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/contact.hpp>
#include <gastube/circuit/inductor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/tube/family/ideal.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/shared_run.hpp"
#include "support_for_tests/tight.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {
enum { ground, out, node_count };
}

TEST_CASE("ramps reach a capacitor's current as C dv/dt") {
  const PulseSource<double> source(out, ground,
                                   {.low = 0, .high = 10, .delay = 1e-3, .width = 1e-3, .rise = 2e-3, .fall = 5e-4});
  auto run = shared_start(wire<node_count>(source, Capacitor{out, ground, 1e-6}));
  const auto delivered = [&](double t) {
    REQUIRE(run.run_until(t) == Status::done);
    return current(run, "pulse source");
  };
  CHECK(absolute_gap(delivered(0.5e-3), 0) < 1e-12);
  CHECK(relative_gap(delivered(2e-3), 1e-6 * 10 / 2e-3) < 1e-9);
  CHECK(absolute_gap(delivered(3.5e-3), 0) < 1e-12);
  CHECK(relative_gap(delivered(4.2e-3), -1e-6 * 10 / 5e-4) < 1e-9);
}

TEST_CASE_TEMPLATE("a capacitor straight across a sine source takes its current of C dv/dt, from the start on", S,
                   float, double, long double) {
  // only the rate of the source fixes this current: i = w C A cos(w t)
  const S amplitude = S(1e-6) * S(2) * std::numbers::pi_v<S> * S(50) * S(10);
  auto run =
      shared_start(wire<node_count>(SineSource<S>{out, ground, {S(10), S(50)}}, Capacitor{out, ground, S(1e-6)}));
  const double reach = sizeof(S) < sizeof(double) ? 1e-2 : 1e-4;  // float: the clock resolves no shorter steps
  CHECK(relative_gap(current(run, "sine source"), amplitude) < reach);
  for (const S t : {S(1e-3), S(10e-3), S(36e-3)}) {
    REQUIRE(run.run_until(t) == Status::done);
    const S expected = amplitude * std::cos(S(2) * std::numbers::pi_v<S> * S(50) * t);
    CHECK(absolute_gap(current(run, "sine source"), expected) < reach * double(amplitude));
  }
  CHECK(run.steps() < 1000);
}

TEST_CASE("a capacitor behind a closed contact takes the same current, and none once it opens") {
  enum { gnd, source, top, count };
  auto run = shared_start(wire<count>(SineSource<double>{source, gnd, {10, 50}}, Contact{source, top, true, 0.0},
                                      Capacitor{top, gnd, 1e-6}));
  const double amplitude = 1e-6 * 2 * std::numbers::pi * 50 * 10;
  CHECK(relative_gap(current(run, "contact"), amplitude) < 1e-4);
  REQUIRE(run.run_until(4e-3) == Status::done);
  CHECK(relative_gap(current(run, "contact"), amplitude * std::cos(0.4 * std::numbers::pi)) < 1e-3);
  const double kept = voltage(run, top);
  REQUIRE(run.alter([](auto&, auto& mode) { std::get<1>(mode)[0].closed = false; }) == Status::event);
  REQUIRE(run.run_until(20e-3) == Status::done);
  CHECK(current(run, "contact") == 0.0);
  CHECK(relative_gap(voltage(run, top), kept) < 1e-12);
}

TEST_CASE("a tube that feeds a capacitor from a sine burns as long as that capacitor's current lasts") {
  // 165.463 V peak 60 Hz, drop 15 V, 20 uF and 2 kohm: the current w C Vm cos th + (Vm sin th - 15 V) / R reaches
  // nothing at 93.4503 degrees (closed form, worked for this library), whatever the sustaining current is worth here
  enum { gnd, source, cathode, grid, count };
  const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = 15}.build();
  auto circuit = wire<count>(
      SineSource<double>{source, gnd, {165.463, 60}}, wired(tube, {.plate = source, .grid = grid, .cathode = cathode}),
      Resistor{cathode, gnd, 2e3}, Capacitor{cathode, gnd, 20e-6}, DcSource{grid, cathode, -1.5});
  auto run = shared_start(circuit, tight<double>());
  EventLog<double> log;
  REQUIRE(run.run_until(1.0 / 60, log) == Status::done);
  const auto out_at = log.times("ideal tube", "recovering");
  REQUIRE(log.count("ideal tube", "conducting") == 1);
  REQUIRE(out_at.size() == 1);
  CHECK(relative_gap(out_at[0] * 60 * 360, 93.4503) < 1e-5);
}

TEST_CASE("a coil driven by a current that ramps shows L di/dt at once") {
  // a part of this test drives a current that ramps; only its rate fixes the coil's voltage
  struct RampedCurrent {
    using Scalar = double;
    Node from, to;
    double rate;  ///< A/s
    const char* label = "ramped current";
    [[nodiscard]] std::array<Node, 2> terminals() const { return {from, to}; }
    void write(PartEquations<double>& eq, const NoMemory&) const { eq.current(from, to, rate * eq.time()); }
  };
  auto run = shared_start(wire<node_count>(RampedCurrent{ground, out, 50.0}, Inductor{out, ground, 0.2}));
  CHECK(relative_gap(voltage(run, out), 0.2 * 50) < 1e-6);
  REQUIRE(run.run_until(0.1) == Status::done);
  CHECK(relative_gap(voltage(run, out), 0.2 * 50) < 1e-6);
  CHECK(relative_gap(own_unknown(run, 1), 5.0) < 1e-9);
}
