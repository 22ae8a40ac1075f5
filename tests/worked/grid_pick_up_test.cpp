// SPDX-License-Identifier: MIT
// What the grid of a blocked tube picks up from its plate through their capacitance. Capacitances: small xenon tetrode,
// from memory; closed forms and numbers worked for this library.
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/tube/family/ideal.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/energy_check.hpp"
#include "support_for_tests/shared_run.hpp"
#include "support_for_tests/tight.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

using namespace gastube;
using closeness::relative_gap;

namespace {

enum { ground, plate, bias, grid, node_count };

/// Tube that holds whatever it is given here: control ratio 1, bias -900 V, which the linear pick-up is counted from.
/// The grid starts at 0 V and is there within 100 us, before the plate's voltage comes.
[[nodiscard]] auto blocked(const TubeCapacitances<double>& capacitances) {
  using Laws = IdealLaws<double, InstantRecovery<double>>;
  const Thyratron<Laws> tube(
      Laws{.ignition = {1, 0, 0}, .arc = {10, 0}, .sustaining = {0}, .capacitances = capacitances}, "tube");
  return wired(tube, {.plate = plate, .grid = grid, .cathode = ground});
}
const TubeCapacitances<double> alone{.grid_plate = 0.026e-12, .grid_cathode = 2.4e-12};
const TubeCapacitances<double> with_wiring{.grid_plate = 2e-12, .grid_cathode = 10e-12};

/// The plate on a source, the grid at -900 V through a resistor.
template <class Scheme = SchemeByCircuit, class Source>
[[nodiscard]] auto driven(const Source& source, double ohms, const TubeCapacitances<double>& capacitances) {
  return shared_start<Scheme>(
      wire<node_count>(source, DcSource{bias, ground, -900.0}, Resistor{bias, grid, ohms}, blocked(capacitances)),
      Settings<double>{.relative = 1e-10, .absolute = 1e-10, .longest_step = 20e-6});
}
template <class Run>
[[nodiscard]] double picked_up(const Run& run) {
  return voltage(run, grid) + 900.0;
}
struct Peak {
  double volts = 0;
  template <class Run>
  void step(const Run& run) {
    volts = std::max(volts, picked_up(run));
  }
};

}  // namespace

TEST_CASE_TEMPLATE("a step of 400 V divides by the capacitances and decays with Rg (Cga + Cgk)", Scheme, Exact,
                   TrBdf2) {
  const PulseSource<double> step(plate, ground, {.low = 0, .high = 400, .delay = 1e-4, .width = 1.0});
  auto run = driven<Scheme>(step, 1e6, alone);
  REQUIRE(run.run_until(1e-4) == Status::done);
  CHECK(relative_gap(picked_up(run), 4.28689) < 1e-5);
  REQUIRE(run.run_until(1e-4 + 2.426e-6) == Status::done);
  CHECK(relative_gap(picked_up(run), 4.28689 * std::exp(-1.0)) < 1e-5);
  auto wired_up = driven<Scheme>(step, 100e3, with_wiring);
  REQUIRE(wired_up.run_until(1e-4) == Status::done);
  CHECK(relative_gap(picked_up(wired_up), 66.6667) < 1e-5);
}

TEST_CASE_TEMPLATE("a ramp of 100 V/us lifts the grid by Rg Cga dv/dt, 2.6 V", Scheme, Exact, TrBdf2) {
  auto run = driven<Scheme>(
      PulseSource<double>{plate, ground, {.low = 0, .high = 800, .delay = 1e-4, .width = 1.0, .rise = 8e-6}}, 1e6,
      alone);
  REQUIRE(run.run_until(1e-4 + 7.9e-6) == Status::done);
  CHECK(relative_gap(picked_up(run), 2.6 * (1 - std::exp(-7.9 / 2.426))) < 1e-5);
}

TEST_CASE("400 V that come with 5 us lift it by 1.05207 V at most") {
  // the plate follows its source through 1 ohm and 5 uF, against which the tube's capacitance is nothing
  enum { gnd, top, minus, g, source, count };
  auto run =
      shared_start(wire<count>(PulseSource<double>{source, gnd, {.low = 0, .high = 400, .delay = 1e-4, .width = 1.0}},
                               Resistor{source, top, 1.0}, Capacitor{top, gnd, 5e-6}, DcSource{minus, gnd, -900.0},
                               Resistor{minus, g, 1e6}, blocked(alone)),
                   Settings<double>{.relative = 1e-10, .absolute = 1e-10, .longest_step = 5e-9});
  REQUIRE(run.run_until(1e-4) == Status::done);
  Peak peak;
  REQUIRE(run.run_until(1.2e-4, peak) == Status::done);
  CHECK(relative_gap(peak.volts, 1.05206621) < 2e-6);
}

TEST_CASE_TEMPLATE("117 V at 60 Hz through 2 pF and 10 Mohm lift it by 1.246 V", Scheme, Exact, TrBdf2) {
  auto run = driven<Scheme>(SineSource<double>{plate, ground, {117 * std::numbers::sqrt2, 60, -std::numbers::pi / 2}},
                            10e6, with_wiring);
  REQUIRE(run.run_until(1.0 / 60) == Status::done);
  Peak peak;
  REQUIRE(run.run_until(3.0 / 60, peak) == Status::done);
  // closed form: w Rg Cga Vm / sqrt(1 + (w Rg (Cga + Cgk))^2)
  const double w = 120 * std::numbers::pi,
               expected = w * 20e-6 * 117 * std::numbers::sqrt2 / std::hypot(1.0, w * 120e-6);
  CHECK(relative_gap(peak.volts, expected) < 1e-5);
}

TEST_CASE("the energy of the tube's capacitances is in the balance") {
  check_energy(driven(PulseSource<double>{plate, ground, {.low = 0, .high = 400, .delay = 1e-4, .width = 1.0}}, 1e6,
                      with_wiring),
               2e-4);
}
