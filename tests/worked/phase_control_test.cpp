// SPDX-License-Identifier: MIT
// Half-wave tube with a resistive load, fired late in the half cycle by a pulse, by a steady bias, or by the phase of
// an alternating grid voltage. 2.376 A and 3.942 A are a printed solid-state example (Introduction to Electric Drives,
// Ex. 2_1), found as a solved problem; the other closed forms and numbers were worked for this library.
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/circuit/voltmeter.hpp>
#include <gastube/tube/family/ideal.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

using namespace gastube;
using closeness::relative_gap;

namespace {

enum { ground, line, plate, grid, node_count };
const Settings<double> fine{.relative = 1e-10, .absolute = 1e-10, .longest_step = 20e-6};

struct HalfWave {
  double peak, ohms, drop, control_ratio = 100;
};
struct Cycle {
  double degrees, mean, rms;  ///< firing angle, A, A
};
/// One cycle at 60 Hz with this source at the grid.
template <class GridSource>
[[nodiscard]] Cycle one_cycle(const HalfWave& c, const GridSource& drive) {
  const auto tube = IdealTube<double>{.control_ratio = c.control_ratio, .arc_drop = c.drop}.build();
  auto run = start(wire<node_count>(SineSource<double>{line, ground, {c.peak, 60}}, Resistor{line, plate, c.ohms},
                                    drive, wired(tube, {.plate = plate, .grid = grid, .cathode = ground}),
                                    Voltmeter{line, plate, 1e15}),
                   fine);
  EventLog<double> log;
  REQUIRE(run.run_until(1.0 / 60, log) == Status::done);
  const auto lit = log.times("ideal tube", "conducting");
  REQUIRE(lit.size() == 1);
  const std::size_t meter = run.system().find("voltmeter");
  return {lit[0] * 60 * 360, follower(run, meter, 0) * 60 / c.ohms, std::sqrt(follower(run, meter, 1) * 60) / c.ohms};
}
[[nodiscard]] PulseSource<double> pulse_at(double degrees) {
  return {grid, ground, {.low = -10, .high = 0, .delay = degrees / 360 / 60, .width = 1e-4}};
}
const double mains = 117 * std::numbers::sqrt2;

}  // namespace

TEST_CASE("117 V, 500 ohm and 12 V fired by a pulse at 30, 60, 120 degrees") {
  const double known[][3] = {{30, 0.0884193, 0.148691}, {60, 0.0711413278, 0.135732}, {120, 0.0224728, 0.0646697}};
  for (const auto& [degrees, mean, rms] : known) {
    const Cycle cycle = one_cycle({mains, 500, 12}, pulse_at(degrees));
    CHECK(relative_gap(cycle.degrees, degrees) < 1e-6);
    CHECK(relative_gap(cycle.mean, mean) < 3e-6);
    CHECK(relative_gap(cycle.rms, rms) < 5e-6);
  }
}

TEST_CASE("400 V peak into 50 ohm fired at 30 degrees: 2.376 A mean, 3.942 A rms") {
  const Cycle cycle = one_cycle({400, 50, 1e-6}, pulse_at(30));  // drop: 1 uV stands for none
  CHECK(relative_gap(cycle.mean, 2.37589734) < 1e-6);
  CHECK(relative_gap(cycle.rms, 3.9419093) < 1e-6);
  CHECK(relative_gap(cycle.mean, 2.376) < 1e-4);
  CHECK(relative_gap(cycle.rms, 3.942) < 1e-4);
}

TEST_CASE("a steady bias fires a tube of control ratio 25 at asin(25 |Vg| / Vm), at 90 degrees at the latest") {
  const double known[][3] = {{-2, 17.5887, 0.0921859}, {-4, 37.1831451, 0.0852474}, {-6, 65.0325, 0.0673742}};
  for (const auto& [bias, degrees, mean] : known) {
    const Cycle cycle = one_cycle({mains, 500, 12, 25}, DcSource{grid, ground, bias});
    CHECK(relative_gap(cycle.degrees, degrees) < 5e-6);
    CHECK(relative_gap(cycle.mean, mean) < 5e-6);
  }
  // Just short of what holds it off for good, at the crest, the output is half the greatest: 0.0468071 A.
  const double short_of = 1e-4, late = std::asin(1 - short_of);
  const Cycle latest = one_cycle({mains, 500, 12, 25}, DcSource{grid, ground, -mains / 25 * (1 - short_of)});
  const double before_crest =
      (mains * std::cos(late) - 12 * (std::numbers::pi / 2 - late)) / (2 * std::numbers::pi * 500);
  CHECK(relative_gap(latest.mean, 0.0468071 + before_crest) < 5e-6);
}

TEST_CASE("an alternating grid voltage of 20 V that lags by 60 or 120 degrees fires it at 46.18 or 101.05 degrees") {
  // tan of the angle = Vgm sin(lag) / (Vgm cos(lag) + Vm / ratio)
  const double known[][3] = {{60, 46.1849, 0.0803502}, {120, 101.046897, 0.0374516}};
  for (const auto& [lag, degrees, mean] : known) {
    const SineSource<double> drive(grid, ground,
                                   {.amplitude = 20, .frequency = 60, .phase = -lag * std::numbers::pi / 180});
    const Cycle cycle = one_cycle({mains, 500, 12, 25}, drive);
    CHECK(relative_gap(cycle.degrees, degrees) < 5e-6);
    CHECK(relative_gap(cycle.mean, mean) < 5e-6);
  }
}
