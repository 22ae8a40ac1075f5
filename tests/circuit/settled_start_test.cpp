// SPDX-License-Identifier: MIT
// A settled start ends where a long run does, in circuits that are far from linear.
#include <gastube/catalogue/argon.hpp>
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/exponential_diode.hpp>
#include <gastube/circuit/filament_lamp.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/circuit/vacuum_pentode.hpp>
#include <gastube/circuit/vacuum_triode.hpp>

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <vector>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {

using Values = std::vector<double>;

template <class Run>
[[nodiscard]] Values unknowns(const Run& run) {
  return Values(run.instant().x, run.instant().x + run.system().unknowns());
}
/// Of a run from the values given in a mode, or settled there.
template <class Circuit>
[[nodiscard]] auto begin(const Circuit& circuit, const typename Circuit::Mode& mode, Beginning beginning) {
  Position<Circuit> position(circuit);
  circuit.start_unknowns(position.x.data());
  return Stepper<Circuit, Rodas5P>(circuit, position, mode, {}, beginning);
}
/// The greatest gap between unknowns of a settled start and those after `length` seconds, as a share of their size.
template <class Circuit>
[[nodiscard]] double gap_to_long_run(const Circuit& circuit, double length) {
  auto settled = begin(circuit, circuit.start_mode(), Beginning::settled);
  REQUIRE(settled.start_status() == Status::event);
  auto run = begin(circuit, circuit.start_mode(), Beginning::as_given);
  REQUIRE(run.run_until(length) == Status::done);
  const Values a = unknowns(settled), b = unknowns(run);
  double worst = 0;
  for (std::size_t k = 0; k < a.size(); ++k)
    worst = std::max(worst, absolute_gap(a[k], b[k]) / (std::fabs(b[k]) + circuit.nominal(k)));
  return worst;
}

enum : Node { ground, supply, grid, cathode, source, screen, plate };

template <class Valve>
[[nodiscard]] auto follower(double volts, double amperes, const Valve& valve) {
  return wire<5>(DcSource{supply, ground, volts}, DcSource{source, ground, 0.0}, Resistor{source, grid, 1e6}, valve,
                 FilamentLamp{cathode, ground, FilamentRating<double>{28, amperes}});
}
template <class Valve>
void check_follower(const Valve& valve) {
  for (const double volts : {34.0, 100.0, 300.0, 400.0})
    for (const double amperes : {0.003, 0.04}) {
      CAPTURE(volts);
      CAPTURE(amperes);
      CHECK(gap_to_long_run(follower(volts, amperes, valve), 600) < 1e-7);
    }
}

}  // namespace

TEST_CASE("a valve with a filament lamp in its cathode's lead") {
  check_follower(triode(supply, grid, cathode, triodes::type_12au7));
  check_follower(triode(supply, grid, cathode, triodes::type_12ax7));
  check_follower(pentode(supply, grid, supply, cathode, pentodes::type_ef80));
}

TEST_CASE("a filament whose heat and resistance are known from the lamp's own law") {
  // A lamp on its rated voltage through as much resistance as it has then: half way, at T = 1, from 56 V.
  for (const double initial : {0.11, 0.5, 1.9}) {
    const auto circuit =
        wire<3>(DcSource{supply, ground, 56.0}, Resistor{supply, 2, 700.0},
                FilamentLamp{2, ground, FilamentRating<double>{.voltage = 28, .current = 0.04}, initial});
    auto run = start(circuit, Beginning::settled);
    CHECK(relative_gap(voltage(run, 2), 28) < 1e-9);
  }
}

TEST_CASE("a bridge of exponential diodes, with its smoothing capacitor and its load") {
  const auto bridge = [](double volts, double farads) {
    const JunctionLaw<double> law{.saturation_current = 1e-9};
    return wire<6>(DcSource{1, 2, volts}, Resistor{2, ground, 1e6}, ExponentialDiode{1, 3, law},
                   ExponentialDiode{2, 3, law}, ExponentialDiode{4, 1, law}, ExponentialDiode{4, 2, law},
                   Resistor{3, 5, 10.0}, Capacitor{5, 4, farads}, Resistor{5, 4, 1e3}, Resistor{4, ground, 1e7});
  };
  for (const double volts : {-1.0, 0.0, 1.0}) {
    CAPTURE(volts);
    CHECK(gap_to_long_run(bridge(volts, 1e-6), 10) < 1e-6);
  }
  // Kirchhoff's law by hand: two equal junctions in series with 1010 ohm, whichever way the source points.
  const auto junction = [](double amperes) {
    return ExponentialDiode{1, 2, JunctionLaw<double>{1e-9}}.thermal_voltage() * std::log1p(amperes / 1e-9);
  };
  for (const double volts : {-325.0, -12.0, 5.0, 12.0, 325.0}) {
    CAPTURE(volts);
    auto run = start(bridge(volts, 1e-6), Beginning::settled);
    REQUIRE(succeeded(run.start_status()));
    const double amperes = (voltage(run, 5) - voltage(run, 4)) / 1e3;
    CHECK(relative_gap(2 * junction(amperes) + 1010 * amperes, std::fabs(volts)) < 1e-5);  // less leaks past
  }
}

TEST_CASE("a pentode with a resistor to its screen, and a cathode resistor with a capacitor across it") {
  for (const double volts : {100.0, 250.0, 400.0})
    for (const double series : {10e3, 1e6}) {
      CAPTURE(volts);
      CAPTURE(series);
      const auto stage =
          wire<7>(DcSource{supply, ground, volts}, Resistor{supply, plate, 47e3}, Resistor{supply, screen, series},
                  Capacitor{screen, ground, 1e-7}, DcSource{source, ground, 0.0}, Resistor{source, grid, 1e6},
                  Resistor{cathode, ground, 1e3}, Capacitor{cathode, ground, 1e-5},
                  pentode(plate, grid, screen, cathode, pentodes::type_ef86));
      CHECK(gap_to_long_run(stage, 50) < 1e-6);
    }
}

namespace {

using FallingLaws = catalogue::HotCathodeLaws<double, KneedLine<double>, FallingDrop<double>, SheathAfterglow<double>>;

/// The catalogue's argon triode with an arc whose voltage falls as its current rises.
[[nodiscard]] auto falling_tube() {
  const catalogue::TubeData& data = catalogue::data_884;
  auto laws = catalogue::laws_of<FallingLaws>(data);
  laws.ignition = catalogue::kneed_line<double>(data);
  laws.arc.inner = {.asymptote = 14, .power = 2e-3, .least_current = 2e-3};
  laws.capacitances = {};  // straight across such an arc they leave it no steady current
  laws.recovery = catalogue::sheath_afterglow<double>(data);
  return Thyratron<FallingLaws>(laws, "falling");
}

}  // namespace

TEST_CASE("a lit tube with a falling arc, and its lamp: settled in the mode it burns in") {
  for (const double volts : {60.0, 90.0, 150.0}) {
    CAPTURE(volts);
    const auto circuit =
        wire<5>(DcSource{supply, ground, volts}, FilamentLamp{supply, source, FilamentRating<double>{24, 0.04}},
                Resistor{source, cathode, 1e3}, DcSource{grid, ground, 0.0},
                wired(falling_tube(), {.plate = cathode, .grid = grid, .cathode = ground, .heater = ground}));
    auto run = begin(circuit, circuit.start_mode(), Beginning::as_given);
    REQUIRE(run.run_until(10) == Status::done);
    const Values late = unknowns(run);
    REQUIRE(late[cathode - 1] < 30);  // lit
    auto settled = begin(circuit, run.mode(), Beginning::settled);
    REQUIRE(succeeded(settled.start_status()));
    const Values found = unknowns(settled);
    for (std::size_t k = 0; k < late.size(); ++k)
      CHECK(absolute_gap(found[k], late[k]) < 1e-6 * (std::fabs(late[k]) + circuit.nominal(k)));
  }
}

TEST_CASE("a circuit that no voltages satisfy is unsolvable, whatever way to rest is tried") {
  const auto loop = wire<2>(DcSource{1, ground, 1.0}, DcSource{1, ground, 2.0}, Resistor{1, ground, 1.0},
                            FilamentLamp{1, ground, FilamentRating<double>{24, 0.04}});
  CHECK(start_unchecked(loop, {}, Beginning::settled).start_status() == Status::unsolvable);
}
