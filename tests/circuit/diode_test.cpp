// SPDX-License-Identifier: MIT
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/contact.hpp>
#include <gastube/circuit/diode.hpp>
#include <gastube/circuit/inductor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/circuit/voltmeter.hpp>

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
enum { ground, supply, out, node_count };
constexpr double turn = 2 * std::numbers::pi;
}  // namespace

TEST_CASE_TEMPLATE("each line is met: leakage backwards, drop and slope forwards", S, float, double, long double) {
  const Diode<S> diode(supply, out, {.drop = S(0.6L), .slope = S(2), .leakage = S(1e-6L)});
  const auto driven = [&](S volts) {
    return shared_start(wire<node_count>(DcSource{supply, ground, volts}, diode, Resistor{out, ground, S(100)}));
  };
  const double rounding = 32 * std::fmax(double(round_off<S>), 1e-17);
  // closed forms: v = drop + 2 (i - 0.6 uA), v + 100 i = E; and i = E / (1 Mohm + 100)
  CHECK(relative_gap(current(driven(S(10)), "diode"), (10 - 0.6L + 2 * 0.6e-6L) / 102) < rounding);
  CHECK(relative_gap(current(driven(S(-10)), "diode"), -10 / (1e6L + 100)) < rounding);
  CHECK(relative_gap(current(driven(S(0.3L)), "diode"), 0.3L / (1e6L + 100)) < rounding);
}

TEST_CASE("an ideal diode at rest, on neither line more than on the other, stays at rest") {
  auto run = shared_start(
      wire<node_count>(DcSource{supply, ground, 0.0}, Diode<double>{supply, out}, Resistor{out, ground, 100.0}));
  EventLog<double> log;
  REQUIRE(run.run_until(1.0, log) == Status::done);
  CHECK(log.events.empty());
}

TEST_CASE_TEMPLATE("half-wave rectifier into a resistance: conduction from asin(d/V) on, mean as the integral", S,
                   float, double, long double) {
  const double crest = 10, drop = 0.7, frequency = 50;
  auto run =
      shared_start(wire<node_count>(SineSource<S>{supply, ground, {.amplitude = S(crest), .frequency = S(frequency)}},
                                    Diode<S>{supply, out, {.drop = S(drop)}}, Voltmeter{out, ground, S(1e3)}),
                   tight<S>());
  EventLog<S> log;
  REQUIRE(run.run_until(S(0.04L), log) == Status::done);
  const auto on = log.times("diode", "conducting"), off = log.times("diode", "blocking");
  REQUIRE(on.size() == 2);
  REQUIRE(off.size() == 2);
  const double angle = std::asin(drop / crest), within = sizeof(S) < sizeof(double) ? 5e-4 : 1e-8;
  CHECK(relative_gap(on[0], angle / turn / frequency) < within);
  CHECK(relative_gap(off[0], (std::numbers::pi - angle) / turn / frequency) < within);
  CHECK(relative_gap(on[1], (turn + angle) / turn / frequency) < within);
  const double mean = (crest * std::cos(angle) - drop * (std::numbers::pi / 2 - angle)) / std::numbers::pi;
  CHECK(relative_gap(follower(run, 2, 0) / S(0.04L), mean) < (sizeof(S) < sizeof(double) ? 1e-3 : 1e-6));
}

TEST_CASE("capacitor-input rectifier: the diode lets go and takes over at the closed form's angles") {
  // capacitor-input rectifier, 120 V rms, 60 Hz: from the crest the load runs alone till the next crest's rise meets
  // it. Expected by bisection of  Vm exp(-(t1) / RC) = Vm sin(w t2)  from where the diode lets go, tan = -w R C
  const double crest = 120 * std::numbers::sqrt2, w = turn * 60, rc = 500 * 100e-6;
  const double let_go = std::numbers::pi - std::atan(w * rc);
  double low = std::numbers::pi * 2, high = std::numbers::pi * 2.5;
  for (int round = 0; round < 60; ++round) {
    const double x = 0.5 * (low + high);
    (std::sin(x) < std::sin(let_go) * std::exp(-(x - let_go) / (w * rc)) ? low : high) = x;
  }
  auto run = shared_start(wire<node_count>(SineSource<double>{supply, ground, {.amplitude = crest, .frequency = 60}},
                                           Diode<double>{supply, out}, Capacitor{out, ground, 100e-6},
                                           Resistor{out, ground, 500.0}),
                          tight<double>());
  EventLog<double> log;
  REQUIRE(run.run_until(0.04, log) == Status::done);
  const auto on = log.times("diode", "conducting"), off = log.times("diode", "blocking");
  REQUIRE(on.size() >= 2);
  CHECK(relative_gap(off[0], let_go / w) < 1e-6);
  CHECK(relative_gap(on[1], low / w) < 1e-6);
  CHECK(relative_gap(crest - crest * std::sin(w * on[1]), 43.1333204) < 1e-3);  // from memory, textbook form
}

TEST_CASE("a free-wheeling diode takes over the coil's current at the instant the contact opens") {
  enum { gnd, line, coil, count };
  auto run =
      shared_start(wire<count>(DcSource{line, gnd, 24.0}, Contact{line, coil, true, 0.0},
                               Inductor{coil, gnd, 0.5, 120.0}, Diode<double>{gnd, coil, {.drop = 0.8, .slope = 1.0}}),
                   tight<double>());
  REQUIRE(run.run_until(1.0) == Status::done);
  REQUIRE(run.alter([](auto&, auto& mode) { std::get<1>(mode)[0].closed = false; }) == Status::event);
  CHECK(relative_gap(current(run, "diode"), 0.2) < 1e-6);
  CHECK(relative_gap(voltage(run, coil), -1.0) < 1e-6);
  EventLog<double> log;
  REQUIRE(run.run_until(1.1, log) == Status::done);
  // closed form: L di/dt = -(R + r) i - d: ends at tau ln(1 + i (R + r) / d)
  const auto off = log.times("diode", "blocking");
  REQUIRE(off.size() == 1);
  CHECK(relative_gap(off[0] - 1.0, 0.5 / 121 * std::log(1 + 0.2 * 121 / 0.8)) < 1e-6);
}

TEST_CASE("an ideal diode between two capacitors shares their charge forwards at once, and never backwards") {
  enum { gnd, left, right, count };
  const auto shared = [](double at_left, double at_right) {
    auto run = shared_start(wire<count>(Capacitor{left, gnd, 2e-6, at_left}, Diode<double>{left, right},
                                        Capacitor{right, gnd, 1e-6, at_right}, Resistor{left, gnd, 1e9}));
    CHECK(succeeded(run.start_status()));
    return std::array{voltage(run, left), voltage(run, right)};
  };
  const auto forward = shared(9, 3), backward = shared(3, 9);
  CHECK(relative_gap(forward[0], 7.0) < 1e-9);
  CHECK(relative_gap(forward[1], 7.0) < 1e-9);
  CHECK(relative_gap(backward[0], 3.0) < 1e-9);
  CHECK(relative_gap(backward[1], 9.0) < 1e-9);
}

TEST_CASE("a bridge of four ideal diodes rectifies a source that floats, without a hitch") {
  enum { gnd, high, low, plus, count };
  auto run =
      shared_start(wire<count>(SineSource<double>{high, low, {.amplitude = 30, .frequency = 50}},
                               Diode<double>{high, plus, {.drop = 1}}, Diode<double>{low, plus, {.drop = 1}},
                               Diode<double>{gnd, high, {.drop = 1, .leakage = 1e-9}},
                               Diode<double>{gnd, low, {.drop = 1, .leakage = 1e-9}}, Voltmeter{plus, gnd, 500.0}),
                   tight<double>());
  REQUIRE(run.run_until(0.04) == Status::done);
  const double angle = std::asin(2.0 / 30);
  const double mean = 2 / std::numbers::pi * (30 * std::cos(angle) - 2 * (std::numbers::pi / 2 - angle));
  CHECK(relative_gap(follower(run, 5, 0) / 0.04, mean) < 1e-6);
}

TEST_CASE("a start is settled in the state that a diode is said to be in, and it turns over if that is wrong") {
  const auto settled = [](double volts, bool conducting) {
    auto run = shared_start(wire<node_count>(DcSource{supply, ground, volts},
                                             Diode<double>{supply, out, {.drop = 1, .slope = 100}, conducting},
                                             Capacitor{out, ground, 1e-3}, Resistor{out, ground, 900.0}),
                            Beginning::settled);
    REQUIRE(succeeded(run.start_status()));
    return std::pair{voltage(run, out), current(run, "diode")};
  };
  CHECK(relative_gap(settled(11, true).first, 9.0) < 1e-6);
  CHECK(settled(11, false).first < 1e-12);  // as if switched on at that moment: the capacitor is yet to be charged
  CHECK(relative_gap(settled(11, false).second, 0.1) < 1e-6);
  CHECK(settled(-11, true).second == 0.0);
}

TEST_CASE("lines that run backwards are refused") {
  CHECK_THROWS_WITH_AS((Diode<double>{supply, out, {.drop = -0.1}}), "diode: drop = -0.1 V, allowed: at least 0 V",
                       InvalidParameter);
  CHECK_THROWS_WITH_AS((Diode<double>{supply, out, {.slope = -1}}), "diode: slope = -1 ohm, allowed: at least 0 ohm",
                       InvalidParameter);
  CHECK_THROWS_WITH_AS((Diode<double>{supply, out, {.leakage = -1}}), "diode: leakage = -1 S, allowed: at least 0 S",
                       InvalidParameter);
}
