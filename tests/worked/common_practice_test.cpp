// SPDX-License-Identifier: MIT
// What everybody who has wired such tubes knows. Common practice, no source, unless a check says otherwise.
#include <gastube/catalogue/xenon.hpp>
#include <gastube/circuit/contact.hpp>
#include <gastube/circuit/filament_lamp.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/circuit/voltmeter.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"

#include <doctest/doctest.h>

#include <numbers>

using namespace gastube;
using closeness::relative_gap;

namespace {

enum { ground, supply, plate, drive, grid, node_count };

const auto tube = catalogue::type_5727();

/// 48 V through `ohms`, grid bias through 1 kohm, a contact that grounds the plate. The tube is fired by a volt on the
/// grid.
[[nodiscard]] auto lit_latch(double ohms, double bias) {
  auto run = start(wire<node_count>(DcSource{supply, ground, 48.0}, Resistor{supply, plate, ohms},
                                    DcSource{drive, ground, 1.0}, Resistor{drive, grid, 1e3},
                                    wired(tube, {.plate = plate, .grid = grid, .cathode = ground, .heater = ground}),
                                    Contact{plate, ground, false, 0.05}));
  REQUIRE(run.run_until(10e-3) == Status::done);
  REQUIRE(tube_state(run, "5727") == TubeState::conducting);
  REQUIRE(succeeded(run.alter([&](auto& circuit, auto&) { circuit.template entry<2>().voltage = bias; })));
  REQUIRE(run.run_until(20e-3) == Status::done);
  return run;
}
template <class Run>
void set_touch(Run& run, bool touched) {
  REQUIRE(succeeded(run.alter([&](auto&, auto& mode) { std::get<5>(mode)[0].closed = touched; })));
}

/// A lamp of 24 V 40 mA in series with `ohms` and a lit tube at 48 V.
struct Shining {
  double current, light;
};
[[nodiscard]] Shining shining(double ohms) {
  enum { gnd, source, middle, top, bias, count };
  const FilamentLamp<double> lamp(source, middle, {.voltage = 24, .current = 0.04});
  auto run = start(wire<count>(DcSource{source, gnd, 48.0}, lamp, Resistor{middle, top, ohms}, DcSource{bias, gnd, 1.0},
                               wired(tube, {.plate = top, .grid = bias, .cathode = gnd, .heater = gnd})));
  REQUIRE(run.run_until(2.0) == Status::done);
  REQUIRE(tube_state(run, "5727") == TubeState::conducting);
  return {current(run, "5727"), lamp.light(own_unknown(run, 1))};
}

}  // namespace

TEST_CASE("once the tube is lit its grid has no effect, down to the most negative it may be") {
  auto run = lit_latch(1e3, 1.0);
  const double before = current(run, "5727");
  for (const double bias : {0.0, -5.0, -tube.laws().ratings.grid_negative_during}) {
    REQUIRE(succeeded(run.alter([&](auto& circuit, auto&) { circuit.template entry<2>().voltage = bias; })));
    REQUIRE(run.run_until(run.time() + 1.0) == Status::done);
    CHECK(tube_state(run, "5727") == TubeState::conducting);
    CHECK(voltage(run, grid) < bias + 0.1);
    CHECK(relative_gap(current(run, "5727"), before) < 1e-6);
  }
}

TEST_CASE("the same grid voltages hold the tube off before it is lit") {
  auto run = start(wire<node_count>(DcSource{supply, ground, 48.0}, Resistor{supply, plate, 1e3},
                                    DcSource{drive, ground, -5.0}, Resistor{drive, grid, 1e3},
                                    wired(tube, {.plate = plate, .grid = grid, .cathode = ground, .heater = ground}),
                                    Contact{plate, ground, false, 0.05}));
  EventLog<double> log;
  REQUIRE(run.run_until(1.0, log) == Status::done);
  CHECK(log.events.empty());
  CHECK(voltage(run, plate) > 47.9);
}

TEST_CASE("grounding the plate for longer than the deionisation time resets the latch, a shorter touch does not") {
  const double lit_current = current(lit_latch(1e3, -5.0), "5727");
  const double needed = tube.laws().recovery.deionisation_time(lit_current, -5.0);
  CHECK(needed > 20e-6);
  CHECK(needed < 200e-6);
  for (const double share : {0.5, 1.5, 20.0}) {
    CAPTURE(share);
    auto run = lit_latch(1e3, -5.0);
    set_touch(run, true);
    REQUIRE(run.run_until(run.time() + share * needed) == Status::done);
    CHECK(tube_state(run, "5727") != TubeState::conducting);
    set_touch(run, false);
    REQUIRE(run.run_until(run.time() + 5e-3) == Status::done);
    CHECK(tube_state(run, "5727") == (share > 1 ? TubeState::blocked : TubeState::conducting));
  }
}

TEST_CASE("halving the resistor before a lamp makes it brighter and its current greater") {
  double light = 0, amperes = 0;
  for (const double ohms : {1320.0, 660.0, 330.0, 165.0}) {
    CAPTURE(ohms);
    const Shining now = shining(ohms);
    CHECK(now.current > 1.05 * amperes);
    CHECK(now.light > 1.2 * light);
    amperes = now.current;
    light = now.light;
  }
}

namespace {

/// Xenon tube of a half-wave rectifier: hot, with the electron current of its cathode, arc of 10 V from 5 mA on.
struct RectifierLaws {
  using Scalar = double;
  KneedLine<double> ignition = {{250, 0, 0}, {12.13, 0.8, 50}};
  ShieldShift<double> shield = {};
  NoDelay<double> delay = {};
  ConstantDrop<double> arc = {10};
  PlateFall<double> fall = {};
  SustainingCurrent<double> sustaining = {5e-3};
  InstantRecovery<double> recovery = {};
  NoGridCurrent<double> grid = {};
  SpaceChargeCurrent<double> electrons = {1e-5, 250, unlimited<double>()};
  NoAfterglowCurrent<double> afterglow = {};
  ReadyCathode<double> cathode = {};
  ArcBack<double> inverse = {1000, 20};
  TubeCapacitances<double> capacitances = {};
  Ratings<double> ratings = {};
};

/// Mean volts that a meter of this resistance reads at the output of 15.9 V rms, 50 Hz, with nothing else for a load.
[[nodiscard]] double unloaded_reading(double meter_ohms) {
  enum { gnd, source, output, count };
  const Thyratron<RectifierLaws> rectifier({}, "rectifier");
  auto run = start(wire<count>(SineSource<double>{source, gnd, {15.9 * std::numbers::sqrt2, 50}},
                               wired(rectifier, {.plate = source, .grid = source, .cathode = output, .heater = output}),
                               Voltmeter{output, gnd, meter_ohms}));
  REQUIRE(run.run_until(1.0) == Status::done);
  CHECK(tube_state(run, "rectifier") != TubeState::conducting);
  return follower(run, 2, 0);
}

}  // namespace

TEST_CASE("with only a meter for a load a rectifier of 15.9 V rms reads 6.5 V: the meter cannot feed an arc") {
  // Vm / pi = 7.16 V; a tube that dropped its arc's 10 V while it passed the meter's microamperes would give 2.9 V
  for (const double ohms : {1e6, 2e6, 10e6}) {
    CAPTURE(ohms);
    CHECK(relative_gap(unloaded_reading(ohms), 6.5) < 0.1);
  }
  // and the harder the meter loads it the less it reads: 6.90 V with 10 Mohm, 6.38 V with 1 Mohm, 5.43 V with 200 kohm
  CHECK(unloaded_reading(2e6) > unloaded_reading(1e6));
  CHECK(unloaded_reading(1e6) > unloaded_reading(200e3));
}
