// SPDX-License-Identifier: MIT
// Firings that last far less than a step, or hang on a nanovolt, by every scheme; and where a scheme's dense output
// ends.
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/tube/family/ideal.hpp>
#include <gastube/tube/recovery/exponential_recovery.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

#define ALL_SIX_SCHEMES Exact, TrBdf2, Rodas5P, Esdirk4, BackwardEuler, Trapezoidal

namespace {

enum { ground, source, plate, grid, trigger, node_count };

[[nodiscard]] auto tube() {
  const IdealTube<double> type{.control_ratio = 20, .arc_drop = 15, .sustaining_current = 1e-3};
  return wired(type.build(ExponentialRecovery<double>{1e-6}), {.plate = plate, .grid = grid, .cathode = ground});
}

/// A quarter of a second of a grid at 60 Hz whose crests pass the critical -5 V by `beyond` V, or as much of it as
/// `length`; the plate's circuit cannot feed an arc. Nothing stores charge: the sine alone bounds the steps.
struct Crests {
  double beyond, phase = 0.4;
  static constexpr double amplitude = 10, rate = 120 * std::numbers::pi;

  template <class Scheme>
  [[nodiscard]] std::size_t struck(double longest_step = unlimited<double>(), double length = 0.25) const {
    const SineSource<double> wave(grid, ground, {amplitude, 60, phase, -5 - amplitude + beyond});
    auto run = start<Scheme>(wire<4>(DcSource{source, ground, 100.0}, wave, Resistor{source, plate, 1e9}, tube()),
                             Settings<double>{.longest_step = longest_step});
    EventLog<double> log;
    REQUIRE(run.run_until(length, log) == Status::done);
    return log.count("ideal tube", "striking");
  }
};

/// How far a polynomial through the dense output's positions departs from a sine at most, as a share of its amplitude,
/// at an angle of `wh` a step: the next power's greatest product over its factorial. 0 for the exact scheme.
template <class Scheme>
[[nodiscard]] double departure(double wh) {
  if constexpr (std::same_as<Scheme, Exact>)
    return 0 * wh;
  else if constexpr (Scheme::stages == 2)
    return wh * wh / 8;
  else if constexpr (std::same_as<Scheme, TrBdf2>)
    return wh * wh * wh / 95;
  else
    return wh * wh * wh * wh / 1500;
}
/// The longest step at which a crest of so many V cannot be missed.
template <class Scheme>
[[nodiscard]] double safe_step(double beyond) {
  double wh = 1;
  while (Crests::amplitude * departure<Scheme>(wh) > beyond / 2) wh /= 2;
  return wh / Crests::rate;
}

}  // namespace

TEST_CASE_TEMPLATE("a grid pulse of 10 ns in a half-cycle of 20 ms fires, through 2 ns of grid circuit too", Scheme,
                   ALL_SIX_SCHEMES) {
  for (const double farads : {1e-18, 2e-12}) {  // 1 kohm: 1 fs, 2 ns
    CAPTURE(farads);
    auto run = start<Scheme>(
        wire<node_count>(SineSource<double>{source, ground, {300, 25}}, Resistor{source, plate, 1e3},
                         PulseSource<double>{trigger, ground, {.low = -30, .high = 0, .delay = 4e-3, .width = 10e-9}},
                         Resistor{trigger, grid, 1e3}, Capacitor{grid, ground, farads, -30.0}, tube()));
    EventLog<double> log;
    REQUIRE(run.run_until(40e-3, log) == Status::done);
    const auto lit = log.times("ideal tube", "conducting");
    REQUIRE(lit.size() == 1);
    // the grid comes to a twentieth of the plate's voltage
    const double critical = 300 * std::sin(50 * std::numbers::pi * 4e-3) / 20;
    CHECK(absolute_gap(lit[0], 4e-3 + 1e3 * farads * std::log(30 / critical)) < 1e-10);
    REQUIRE(log.count("ideal tube", "blocked") == 1);
  }
}

TEST_CASE_TEMPLATE("a crest that misses by a nanovolt fires nothing in any scheme", Scheme, ALL_SIX_SCHEMES) {
  for (const double phase : {0.0, 0.4, 1.1}) CHECK(Crests{.beyond = -1e-9, .phase = phase}.struck<Scheme>() == 0);
}

TEST_CASE_TEMPLATE("both crossings of a crest within one step are seen, if it is higher than the dense output is off",
                   Scheme, ALL_SIX_SCHEMES) {
  // the sine asks for steps of a 32nd of its period
  const double height = 2 * Crests::amplitude * departure<Scheme>(std::numbers::pi / 16) + 1e-9;
  CAPTURE(height);
  for (const double phase : {0.0, 0.4, 1.1}) CHECK(Crests{.beyond = height, .phase = phase}.struck<Scheme>() == 15);
}

TEST_CASE_TEMPLATE("a crest that reaches by a nanovolt is seen at steps short enough for that", Scheme,
                   ALL_SIX_SCHEMES) {
  // 20 us, with the crest at 10 us
  const Crests crests{.beyond = 1e-9, .phase = std::numbers::pi / 2 - 10e-6 * Crests::rate};
  CHECK(crests.struck<Scheme>(safe_step<Scheme>(1e-9), 20e-6) == 1);
}

TEST_CASE_TEMPLATE("a straight line between the ends of a step misses a crest between them", Scheme, BackwardEuler,
                   Trapezoidal) {
  const double height = 0.1 * Crests::amplitude * departure<Scheme>(std::numbers::pi / 16);
  CHECK(Crests{.beyond = height, .phase = 0.4}.struck<Scheme>() == 0);
  CHECK(Crests{.beyond = height, .phase = 0.4}.struck<Scheme>(safe_step<Scheme>(height)) == 15);
}
