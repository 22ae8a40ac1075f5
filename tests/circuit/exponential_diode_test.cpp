// SPDX-License-Identifier: MIT
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/exponential_diode.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/shared_run.hpp"
#include "support_for_tests/tight.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {
enum { ground, supply, out, node_count };

/// A small silicon diode in orders of magnitude; values ours.
template <class S>
[[nodiscard]] JunctionLaw<S> silicon(double series = 0) {
  return {.saturation_current = S(1e-12), .emission = S(1.5), .series_resistance = S(series)};
}
template <class S>
[[nodiscard]] auto driven(const JunctionLaw<S>& law, S volts, S ohms) {
  return shared_start(wire<node_count>(DcSource{supply, ground, volts}, Resistor{supply, out, ohms},
                                       ExponentialDiode<S>{out, ground, law}));
}
}  // namespace

TEST_CASE_TEMPLATE("current and voltage lie on the law, from deep reverse to beyond where exp overflows", S, float,
                   double, long double) {
  const ExponentialDiode<S> diode(out, ground, silicon<S>());
  for (const double volts : {-1000.0, -5.0, -0.03, 0.0, 0.01, 0.3, 0.7, 5.0, 400.0, 1e5}) {
    CAPTURE(volts);
    auto run = driven<S>(silicon<S>(), S(volts), S(1e3));
    REQUIRE(succeeded(run.start_status()));
    const S v = voltage(run, out), i = current(run, "exponential diode");
    // from the resistor's side: what it passes is what the law says at the voltage left
    const double passed = double((S(volts) - v) / S(1e3)), law = double(diode.static_current(v));
    const double sensitivity = (1e-12 + std::fabs(double(i))) / double(diode.thermal_voltage());
    const double reach = 64 * double(round_off<S>)
                         * (1e-12 + std::fabs(double(i)) + sensitivity * std::fabs(double(v)) + std::fabs(volts) / 1e3);
    CHECK(absolute_gap(i, passed) < reach);
    CHECK(absolute_gap(i, law) < reach * 16);
  }
}

TEST_CASE("ten times the current costs n kT/e ln 10, and the series resistance its drop") {
  const ExponentialDiode<double> diode(out, ground, silicon<double>(2));
  CHECK(relative_gap(diode.thermal_voltage(), 1.5 * 1.380649e-23 * 300 / 1.602176634e-19) < 1e-15);
  const auto low = driven(silicon<double>(2), 10.0, 10e3), high = driven(silicon<double>(2), 100.0, 10e3);
  const double less = current(low, "exponential diode"), more = current(high, "exponential diode");
  CHECK(more / less > 10);
  CHECK(absolute_gap(voltage(high, out) - voltage(low, out),
                     diode.thermal_voltage() * std::log(more / less) + 2 * (more - less))
        < 1e-9);
}

TEST_CASE("an emission coefficient of 1 at 300 K has a thermal voltage of 25.85 mV") {
  CHECK(absolute_gap((ExponentialDiode<double>{1, 0, {.saturation_current = 1e-14}}).thermal_voltage(), 0.025852)
        < 1e-6);
}

TEST_CASE("a capacitor discharges into the junction as the closed form says") {
  // C du/dt = -Is (exp(u/t) - 1):  1 - exp(-u/t) falls away exponentially, with C t / Is
  const JunctionLaw<double> law{.saturation_current = 1e-6};
  const ExponentialDiode<double> diode(out, ground, law);
  const double t = diode.thermal_voltage(), c = 1e-6, from = 0.35;
  auto run = shared_start(wire<2>(Capacitor{1, 0, c, from}, ExponentialDiode<double>{1, 0, law}), tight<double>());
  for (const double until : {1e-6, 1e-4, 1e-2, 0.1}) {
    REQUIRE(run.run_until(until) == Status::done);
    const double grown = std::log(std::expm1(from / t)) - from / t;  // ln(1 - exp(-u/t))
    const double expected = -t * std::log(-std::expm1(grown - until * 1e-6 / (c * t)));
    CHECK(absolute_gap(voltage(run, 1), expected) < 5e-8);  // some thousand steps of 1e-10 V each
  }
}

TEST_CASE("a law that cannot be is refused") {
  CHECK_THROWS_WITH_AS((ExponentialDiode<double>{1, 0, {.saturation_current = 0}}),
                       "exponential diode: saturation_current = 0 A, allowed: above 0 A", InvalidParameter);
  CHECK_THROWS_WITH_AS((ExponentialDiode<double>{1, 0, {.saturation_current = 1e-9, .emission = 0.1}}),
                       "exponential diode: emission = 0.1, allowed: 0.5 to 100", InvalidParameter);
}
