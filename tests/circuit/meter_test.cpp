// SPDX-License-Identifier: MIT
#include <gastube/circuit/diode.hpp>
#include <gastube/circuit/meter.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/shared_run.hpp"
#include "support_for_tests/tight.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {
enum { ground, out, node_count };
}

TEST_CASE_TEMPLATE("a pointer comes up as 1 - exp(-t / damping), and loads what it reads", S, float, double,
                   long double) {
  enum { gnd, source, tap, count };
  auto run = shared_start(wire<count>(DcSource{source, gnd, S(20)}, Resistor{source, tap, S(10e3)},
                                      MovingCoilMeter<S>{tap, gnd, S(30e3), S(0.2L)}),
                          tight<S>());
  REQUIRE(run.run_until(S(0.3L)) == Status::done);
  CHECK(relative_gap(voltage(run, tap), 15) < 1e-6);
  CHECK(relative_gap(reading(run, "moving-coil meter"), 15 * (1 - std::exp(-1.5))) < tight_reach<S>);
  CHECK(relative_gap(current(run, "moving-coil meter"), 5e-4) < 1e-6);
}

TEST_CASE("in series with a small resistance and its inverse as scale it reads amperes") {
  enum { gnd, source, through, count };
  auto run =
      shared_start(wire<count>(DcSource{source, gnd, 20.0}, MovingCoilMeter<double>{source, through, 0.5, 0.1, 1 / 0.5},
                               Resistor{through, gnd, 99.5}),
                   Beginning::settled);
  CHECK(relative_gap(reading(run, "moving-coil meter"), 0.2) < 1e-12);
}

TEST_CASE("of a half-wave rectified sine a slow pointer shows the mean, crest/pi, and scaled by 2.2214 the r.m.s.") {
  enum { gnd, line, rectified, count };
  auto run = shared_start(
      wire<count>(SineSource<double>{line, gnd, {.amplitude = 165, .frequency = 60}}, Diode<double>{line, rectified},
                  MovingCoilMeter<double>{rectified, gnd, 50e3, 0.5, 3.14159265358979 / std::sqrt(2.0)}));
  REQUIRE(run.run_until(5.0) == Status::done);
  CHECK(relative_gap(reading(run, "moving-coil meter"), 165 / std::sqrt(2.0)) < 0.01);  // it trembles by the ripple
}

TEST_CASE("a true r.m.s. meter shows root of half the square of a sine's crest, and of the offset besides") {
  auto run =
      shared_start(wire<node_count>(SineSource<double>{out, ground, {.amplitude = 100, .frequency = 50, .offset = 30}},
                                    RmsMeter<double>{out, ground, 1e6, 0.5}));
  CHECK(reading(run, "r.m.s. meter") == 0.0);
  REQUIRE(run.run_until(6.0) == Status::done);
  CHECK(relative_gap(reading(run, "r.m.s. meter"), std::sqrt(100.0 * 100 / 2 + 30.0 * 30)) < 0.01);
}

TEST_CASE("a peak meter holds the crest, less what its attack misses, and not what comes after") {
  auto run = shared_start(wire<node_count>(SineSource<double>{out, ground, {.amplitude = 325, .frequency = 50}},
                                           PeakMeter<double>{out, ground, 1e6, 10e-6}),
                          tight<double>());
  EventLog<double> log;
  REQUIRE(run.run_until(15e-3, log) == Status::done);
  // the crest of the lagged sine: 325 / sqrt(1 + (w attack)^2), met where the voltage has come down to it
  const double lag = 2 * 3.14159265358979 * 50 * 10e-6;
  CHECK(relative_gap(reading(run, "peak meter"), 325 / std::sqrt(1 + lag * lag)) < 1e-7);
  CHECK(log.count("peak meter", "following") == 1);
  CHECK(log.count("peak meter", "holding") == 1);
  const double held = reading(run, "peak meter");
  REQUIRE(run.run_until(0.1, log) == Status::done);
  CHECK(reading(run, "peak meter") >= held);
  CHECK(reading(run, "peak meter") <= 325);
}

TEST_CASE("on a steady voltage a peak meter comes to rest") {
  auto run = shared_start(wire<node_count>(DcSource{out, ground, 12.0}, PeakMeter<double>{out, ground, 1e6, 1e-4}));
  EventLog<double> log;
  REQUIRE(run.run_until(10.0, log) == Status::done);
  CHECK(relative_gap(reading(run, "peak meter"), 12.0) < 1e-6);
  CHECK(log.events.size() <= 3);
}

TEST_CASE("what cannot be is refused") {
  CHECK_THROWS_WITH_AS((MovingCoilMeter<double>{1, 0, 0.0, 0.1}),
                       "moving-coil meter: resistance = 0 ohm, allowed: above 0 ohm", InvalidParameter);
  CHECK_THROWS_WITH_AS((RmsMeter<double>{1, 0, 1.0, 0.0}), "r.m.s. meter: damping = 0 s, allowed: above 0 s",
                       InvalidParameter);
  CHECK_THROWS_WITH_AS((PeakMeter<double>{1, 0, 1.0, -1.0}), "peak meter: attack = -1 s, allowed: above 0 s",
                       InvalidParameter);
}
