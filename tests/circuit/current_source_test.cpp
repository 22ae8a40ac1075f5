// SPDX-License-Identifier: MIT
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/current_source.hpp>
#include <gastube/circuit/pulse_wave.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sine_wave.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/shared_run.hpp"
#include "support_for_tests/tight.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;
using closeness::relative_gap;

namespace {
enum { ground, out, node_count };
}

TEST_CASE_TEMPLATE("a steady current raises a capacitor by I t / C, as in a time base with constant charging", S, float,
                   double, long double) {
  // 1 mA into 10 nF takes 104 V in 1.04 ms (arithmetic)
  auto run = shared_start(
      wire<node_count>(steady_current(ground, out, S(1e-3L)), Capacitor{out, ground, S(10e-9L), S(16)}), tight<S>());
  REQUIRE(run.run_until(S(1.04e-3L)) == Status::done);
  CHECK(relative_gap(voltage(run, out), 120) < tight_reach<S>);
  CHECK(relative_gap(current(run, "current source"), 1e-3) < 1e-6);
}

TEST_CASE("any waveform is driven through a resistor") {
  auto sine = shared_start(wire<node_count>(
      CurrentSource{ground, out, SineWave<double>{.amplitude = 0.1, .frequency = 50}}, Resistor{out, ground, 100.0}));
  REQUIRE(sine.run_until(5e-3) == Status::done);
  CHECK(relative_gap(voltage(sine, out), 10) < 1e-12);
  auto pulse = shared_start(wire<node_count>(
      CurrentSource{out, ground, PulseWave<double>{.low = 0, .high = 0.1, .delay = 1e-3, .width = 1e-3}},
      Resistor{out, ground, 100.0}));
  REQUIRE(pulse.run_until(1.5e-3) == Status::done);
  CHECK(relative_gap(voltage(pulse, out), -10) < 1e-12);
}

TEST_CASE("a current that is no number is refused") {
  CHECK_THROWS_WITH_AS(static_cast<void>(steady_current(ground, out, unlimited<double>() * 1e300)),
                       "current source: level = inf, allowed: a finite number", InvalidParameter);
}
