// SPDX-License-Identifier: MIT
// Half-wave rectifiers of one tube from 117 V, 60 Hz: what a meter reads. Formulas of the loaded rectifier: handbooks
// of the trade, from memory (MIT E.E. staff, Applied Electronics, 1943); numbers worked for this library.
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/circuit/voltmeter.hpp>
#include <gastube/tube/family/ideal.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/energy_check.hpp"
#include "support_for_tests/event_log.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

using namespace gastube;
using closeness::relative_gap;

namespace {

enum { ground, source, cathode, grid, node_count };

const double peak = 117 * std::numbers::sqrt2;

/// Drop 15 V; the grid holds off 25 V. One ohm less or more of the meter's 1e15 is nothing.
[[nodiscard]] auto rectifier(double ohms, double sustaining, double longest_step = 20e-6) {
  const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = 15, .sustaining_current = sustaining}.build();
  return start(wire<node_count>(SineSource<double>{source, ground, {peak, 60}},
                                wired(tube, {.plate = source, .grid = grid, .cathode = cathode}),
                                Resistor{cathode, ground, ohms}, DcSource{grid, cathode, -1.25},
                                Voltmeter{cathode, ground, 1e15}),
               Settings<double>{.relative = 1e-9, .absolute = 1e-9, .longest_step = longest_step});
}

struct Reading {
  double mean, rms;  ///< V
  double on, off;    ///< degrees of the first conduction
  std::size_t conductions;
};
[[nodiscard]] Reading read(double ohms, double sustaining) {
  auto run = rectifier(ohms, sustaining);
  EventLog<double> log;
  REQUIRE(run.run_until(5.0 / 60, log) == Status::done);
  const std::size_t meter = run.system().find("voltmeter");
  const auto on = log.times("ideal tube", "conducting"), off = log.times("ideal tube", "recovering");
  REQUIRE(on.size() >= 5);
  return {follower(run, meter, 0) * 12, std::sqrt(follower(run, meter, 1) * 12), on[0] * 360 * 60, off[0] * 360 * 60,
          on.size()};
}

}  // namespace

TEST_CASE("without a sustaining current the load gets 45.3 mA mean and 73.3 mA rms, from 8.69 to 174.80 degrees") {
  const Reading reading = read(1e3, 0);
  CHECK(relative_gap(reading.mean / 1e3, 0.0453365585) < 1e-6);
  CHECK(relative_gap(reading.rms / 1e3, 0.073310682) < 1e-6);
  CHECK(relative_gap(reading.on, 8.69017) < 1e-6);
  CHECK(relative_gap(reading.on / 21600, 0.000402323) < 1e-5);
  CHECK(relative_gap(reading.off, 174.799) < 1e-5);
  CHECK(reading.conductions == 5);
}

TEST_CASE("with 5 mA to be sustained a meter reads 45.32 V across 1 kohm and 25.39 V across 25 kohm") {
  const Reading loaded = read(1e3, 5e-3), light = read(25e3, 5e-3);
  CHECK(relative_gap(loaded.mean, 45.3244602) < 1e-6);
  CHECK(relative_gap(loaded.on, 8.69017) < 1e-6);
  CHECK(relative_gap(loaded.off, 173.058) < 1e-5);
  CHECK(relative_gap(light.mean, 25.388622) < 1e-6);
  CHECK(relative_gap(light.on, 57.7911) < 1e-5);
  CHECK(relative_gap(light.off, 122.209) < 1e-5);
  CHECK(light.conductions == 5);  // it does not light and drop out again and again while it cannot be fed
}

TEST_CASE("there is no arc at all above (Vm - Vd) / Ih = 30092.6 ohm") {
  const auto lights = [](double ohms) {
    auto run = rectifier(ohms, 5e-3, 2e-6);
    EventLog<double> log;
    REQUIRE(run.run_until(1.0 / 60, log) == Status::done);
    return log.count("ideal tube", "conducting") > 0;
  };
  CHECK(lights(30092.5974 * (1 - 1e-6)));
  CHECK_FALSE(lights(30092.5974 * (1 + 1e-6)));
  CHECK_FALSE(lights(40e3));
  CHECK_FALSE(lights(5e6));
}

TEST_CASE("its energy balance closes") { check_energy(rectifier(1e3, 5e-3), 5.0 / 60); }
