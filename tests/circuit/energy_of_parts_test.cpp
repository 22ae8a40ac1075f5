// SPDX-License-Identifier: MIT
// The energy of the parts that the exact scheme does not run, by two schemes of one step. What the books are to show
// beside closing is by hand.
#include <gastube/catalogue/xenon.hpp>
#include <gastube/circuit/battery.hpp>
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/diode.hpp>
#include <gastube/circuit/exponential_diode.hpp>
#include <gastube/circuit/filament_lamp.hpp>
#include <gastube/circuit/light_emitting_diode.hpp>
#include <gastube/circuit/meter.hpp>
#include <gastube/circuit/potentiometer.hpp>
#include <gastube/circuit/relay.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/circuit/transformer.hpp>
#include <gastube/circuit/vacuum_pentode.hpp>
#include <gastube/circuit/vacuum_triode.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/energy_check.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

using namespace gastube;
using closeness::relative_gap;

namespace {

using Xenon = std::decay_t<decltype(catalogue::type_5727())>;

/// All circuits of this file are of one type.
struct Bench {
  std::size_t nodes;
  std::vector<DcSource<double>> steady = {};
  std::vector<SineSource<double>> sines = {};
  std::vector<PulseSource<double>> pulses = {};
  std::vector<Resistor<double>> resistors = {};
  std::vector<Capacitor<double>> capacitors = {};
  std::vector<CoupledInductors<double, 2>> coils = {};
  std::vector<CoupledInductors<double, 3>> tapped = {};
  std::vector<Potentiometer<double>> potentiometers = {};
  std::vector<Battery<double>> batteries = {};
  std::vector<ChargingBattery<double>> charging = {};
  std::vector<Diode<double>> diodes = {};
  std::vector<ExponentialDiode<double>> junctions = {};
  std::vector<LightEmittingDiode<Diode<double>>> lights = {};
  std::vector<Relay<double>> relays = {};
  std::vector<MovingCoilMeter<double>> moving = {};
  std::vector<RmsMeter<double>> rms = {};
  std::vector<PeakMeter<double>> peak = {};
  std::vector<FilamentLamp<double>> lamps = {};
  std::vector<VacuumTriode<double>> triodes = {};
  std::vector<VacuumPentode<double>> pentodes = {};
  std::vector<WiredTube<Xenon>> tubes = {};

  [[nodiscard]] auto circuit() const {
    return wire_dynamic(nodes, steady, sines, pulses, resistors, capacitors, coils, tapped, potentiometers, batteries,
                        charging, diodes, junctions, lights, relays, moving, rms, peak, lamps, triodes, pentodes,
                        tubes);
  }
};

/// The books by Esdirk4, those by TR-BDF2 checked too.
[[nodiscard]] EnergyBook<double> closed(const Bench& bench, double length, Beginning beginning = Beginning::as_given) {
  const auto rough =
      energy_check::books<TrBdf2>(bench.circuit(), length, {.relative = 1e-7, .absolute = 1e-7}, beginning);
  const auto fine =
      energy_check::books<Esdirk4>(bench.circuit(), length, {.relative = 1e-9, .absolute = 1e-9}, beginning);
  energy_check::check(rough, 1e-4);
  energy_check::check(fine, 1e-7);
  return fine.book;
}

enum { ground, supply, a, b, c, d, e };

const DiodeLines<double> silicon{.drop = 0.7, .slope = 0.1, .leakage = 1e-8};
const JunctionLaw<double> junction{.saturation_current = 1e-12, .emission = 1.5};

}  // namespace

TEST_CASE("a transformer, a diode, a reservoir and instruments") {
  const auto book =
      closed({.nodes = 5,
              .sines = {{supply, ground, {165.0, 60}}},
              .resistors = {{b, ground, 1e3}},
              .capacitors = {{b, ground, 100e-6}},
              .coils = {transformer<double>(supply, ground, Secondary<double>{a, ground, 0.1}, {1.0, 0.01, 5.0, 0.2})},
              .diodes = {{a, b, silicon}},
              .moving = {{b, ground, 1e4, 0.1}},
              .rms = {{b, ground, 1e5, 0.1}},
              .peak = {{b, c, 1e5, 1e-4}, {c, ground, 1e5, 1e-4}}},
             0.1);
  CHECK(book.stored_change > 0.5 * 100e-6 * 13 * 13);
}

TEST_CASE("a tapped transformer of coupling 1 with exponential diodes") {
  const auto book = closed({.nodes = 5,
                            .sines = {{supply, ground, {165.0, 60}}},
                            .resistors = {{c, ground, 100.0}},
                            .capacitors = {{c, ground, 100e-6}},
                            .tapped = {transformer<double>(supply, ground, TappedSecondary<double>{a, ground, b, 0.2},
                                                           {1.0, 0.0, 5.0, 0.2})},
                            .junctions = {{a, c, junction}, {b, c, junction}}},
                           0.05);
  CHECK(book.dissipated > 0);
}

TEST_CASE("batteries give what is taken from them, and hold what is put in") {
  // 10 V through 5 ohm in all into a battery that rises: RC with C = 1 / rise. Delivered at its first voltage: -6 V.
  const auto book = closed({.nodes = 3,
                            .resistors = {{supply, a, 3.0}},
                            .batteries = {{supply, ground, 10.0, 1.0}},
                            .charging = {{a, ground, 6.0, 1.0, 100.0}}},
                           2.0);
  const double charge = 4.0 / 100;
  CHECK(relative_gap(book.delivered, charge * 4) < 1e-6);
  CHECK(relative_gap(book.stored_change, 0.5 * charge * 4) < 1e-6);
  CHECK(relative_gap(book.dissipated, 0.5 * charge * 4) < 1e-6);
}

TEST_CASE("a potentiometer and a light-emitting diode") {
  const auto book = closed({.nodes = 4,
                            .steady = {{supply, ground, 12.0}},
                            .capacitors = {{a, ground, 10e-6}},
                            .potentiometers = {{ground, a, supply, 1e3, 0.3}, {a, b, b, 500.0, 0.5}},
                            .lights = {{Diode<double>{b, ground, {.drop = 1.8, .slope = 10}}, 0.02}}},
                           0.05);
  CHECK(book.delivered > 0.05 * 12 * 12 / 1e3);
}

TEST_CASE("a relay's armature takes its work from the coil") {
  // 10 V on 1 kohm; as the armature comes down 0.1 H become 0.2 H with the flux kept: half of the coil's energy.
  const RelayCoil<double> coil{1e3, 0.1, 0.2, 5e-3, 2e-3};
  const auto book = closed({.nodes = 4,
                            .pulses = {{supply, ground, {.low = 0, .high = 10, .delay = 1e-3, .width = 1.0}}},
                            .resistors = {{b, ground, 100.0}},
                            .capacitors = {{b, ground, 1e-6}},
                            .charging = {{a, ground, 24.0, 1.0, 1.0}},
                            .relays = {{supply, ground, {{{.common = a, .work = b}}}, coil, {.pull_in = 10e-3}, 0.1}}},
                           0.05);
  CHECK(relative_gap(book.lost, 0.25 * 0.1 * 1e-4) < 1e-3);
}

TEST_CASE("a triode drives a pentode") {
  const auto book =
      closed({.nodes = 7,
              .steady = {{supply, ground, 250.0}},
              .sines = {{a, ground, {0.3, 1e3}}},
              .resistors = {{supply, b, 100e3}, {supply, d, 47e3}, {supply, e, 390e3}, {c, ground, 470e3}},
              .capacitors = {{b, c, 10e-9}, {e, ground, 10e-9}},
              .triodes = {triode(b, a, ground, gastube::triodes::type_12ax7)},
              .pentodes = {pentode(d, c, e, ground, gastube::pentodes::type_ef86)}},
             5.25e-3, Beginning::settled);
  CHECK(book.dissipated > 0);
}

TEST_CASE("a lamp latch with a xenon tube, lit and put out") {
  const auto book = closed(
      {.nodes = 6,
       .pulses = {{supply, ground, {.low = 48, .high = 0, .delay = 1.0, .width = 5e-3, .period = 0, .rise = 1e-4}},
                  {d, ground, {.low = -5, .high = 20, .delay = 0.1, .width = 0.5}}},
       .resistors = {{a, b, 150.0}, {d, c, 10e3}},
       .lamps = {{supply, a, {.voltage = 24, .current = 0.04}}},
       .tubes = {wired(catalogue::type_5727(), {.plate = b, .grid = c, .cathode = ground, .heater = ground})}},
      1.5);
  // some 50 mA from 48 V for 0.9 s
  CHECK(book.dissipated > 0.9 * 48 * 0.04);
}
