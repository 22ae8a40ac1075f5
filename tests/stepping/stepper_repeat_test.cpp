// SPDX-License-Identifier: MIT
// Runs of a nonlinear oscillator with events: the same every time, from every saved state, in every size and scalar.
#include <gastube/stepping/stepper.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/quiet_system.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>
#include <vector>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {

/// A lamp-like oscillator: a capacitor with a cubic leak, charged through a resistor from a source that swings, and
/// discharged between two levels; a follower averages the voltage, and a bare node hangs on the capacitor.
/// Nonlinear in every equation, with events both ways: what a saved state has to carry.
template <class S, bool Dynamic = false>
struct Blinker : QuietSystem<S, 2, 1, int, Dynamic> {
  S supply = S(80), swing = S(15), feed = S(2e4), capacitance = S(1e-7), load = S(2e3), ignition = S(65),
    extinction = S(20);

  void write(const Instant<S>& at, int lit, Equations<S>& eq) const {
    const S v = at.x[0], u = at.x[1], leak = S(1e-9);
    const S source = S(supply + swing * math::sin(S(S(900) * at.time)));
    eq.store(0, 0, capacitance);
    eq.flow(0, S((v - source) / feed + leak * v * v * v + (lit != 0 ? S(v / load) : S(0)) + (v - u) / S(1e6)));
    eq.flow_slope(0, 0, S(S(1) / feed + S(3) * leak * v * v + (lit != 0 ? S(S(1) / load) : S(0)) + S(1e-6)));
    eq.flow_slope(0, 1, S(-1e-6));
    eq.flow(1, S((u - v) / S(1e6) + S(1e-8) * u * u * u));
    eq.flow_slope(1, 0, S(-1e-6));
    eq.flow_slope(1, 1, S(S(1e-6) + S(3e-8) * u * u));
  }
  void follow(const Instant<S>& at, int, FollowRate<S>* rates) const { rates[0] = {S(S(500) * at.x[0]), S(500)}; }
  [[nodiscard]] std::size_t guards() const { return 2; }
  [[nodiscard]] S guard(std::size_t k, const Instant<S>& at, int lit) const {
    if (k == 0) return lit != 0 ? S(1) : S(ignition - at.x[0]);
    return lit != 0 ? S(at.x[0] - extinction) : S(1);
  }
  Change fire(std::size_t k, const Instant<S>&, int& lit, S*) const {
    lit = k == 0 ? 1 : 0;
    return {"blinker", k == 0 ? "dark" : "lit", k == 0 ? "lit" : "dark", "voltage"};
  }
};

template <class System, class Scheme = TrBdf2>
Stepper<System, Scheme> blinking(const Settings<typename System::Scalar>& settings = {}) {
  const System system;
  auto start = start_at(system, 10.0, 3.0);
  start.y[0] = typename System::Scalar(10);
  return Stepper<System, Scheme>(system, start, 0, settings);
}

/// Writes down every step.
template <class S>
struct StepLog : EventLog<S> {
  std::vector<S> times, first, follower;
  template <class Stepper>
  void step(const Stepper& stepper) {
    times.push_back(stepper.time());
    first.push_back(stepper.instant().x[0]);
    follower.push_back(stepper.instant().y[0]);
  }
};

template <class A, class B>
void check_same_run(const A& a, const B& b) {
  CHECK(same_elements(a.times, b.times));
  CHECK(same_elements(a.first, b.first));
  CHECK(same_elements(a.follower, b.follower));
  CHECK(a.events.size() == b.events.size());
}

}  // namespace

TEST_CASE("a run ends exactly where it is told to") {
  auto stepper = blinking<Blinker<double>>();
  for (const double limit : {1e-9, 0.001, 0.1 / 3, 0.05}) {
    REQUIRE(stepper.run_until(limit) == Status::done);
    CHECK(stepper.time() == limit);
  }
  CHECK(stepper.run_until(0.04) == Status::done);  // already past
  CHECK(stepper.time() == 0.05);
}

TEST_CASE_TEMPLATE("two runs of the same circuit are the same to the last bit", S, float, double, long double) {
  StepLog<S> one, other;
  REQUIRE(blinking<Blinker<S>>().run_until(S(0.02), one) == Status::done);
  REQUIRE(blinking<Blinker<S>>().run_until(S(0.02), other) == Status::done);
  CHECK(one.events.size() > 6);
  check_same_run(one, other);
}

TEST_CASE_TEMPLATE("sizes known at run time give the same events to round-off", S, float, double, long double) {
  StepLog<S> fixed, at_run_time;
  REQUIRE(blinking<Blinker<S, false>>().run_until(S(0.02), fixed) == Status::done);
  REQUIRE(blinking<Blinker<S, true>>().run_until(S(0.02), at_run_time) == Status::done);
  REQUIRE(fixed.events.size() > 6);
  REQUIRE(fixed.events.size() == at_run_time.events.size());
  // Equations are solved in another order. Where an error estimate is nothing but round-off, steps differ by more.
  for (std::size_t k = 0; k < fixed.events.size(); ++k)
    CHECK(relative_gap(at_run_time.events[k].time, fixed.events[k].time) < 1e3 * double(round_off<S>));
  CHECK(std::fabs(double(at_run_time.times.size()) - double(fixed.times.size())) < 0.01 * double(fixed.times.size()));
}

TEST_CASE_TEMPLATE("each scalar finds the same events to its own accuracy", S, float, long double) {
  Settings<double> fine{.relative = 1e-9, .absolute = 1e-9};
  Settings<S> own;
  if (!std::is_same_v<S, float>) own.relative = own.absolute = S(1e-9);
  EventLog<double> wanted;
  EventLog<S> got;
  REQUIRE(blinking<Blinker<double>>(fine).run_until(0.02, wanted) == Status::done);
  REQUIRE(blinking<Blinker<S>>(own).run_until(S(0.02), got) == Status::done);
  REQUIRE(wanted.events.size() == got.events.size());
  for (std::size_t k = 0; k < wanted.events.size(); ++k)
    CHECK(relative_gap(got.events[k].time, wanted.events[k].time) < (std::is_same_v<S, float> ? 1e-3 : 1e-12));
}

TEST_CASE_TEMPLATE("every scheme sees the same events", Scheme, BackwardEuler, Trapezoidal, TrBdf2, Esdirk4) {
  EventLog<double> wanted, got;
  Settings<double> settings{.relative = 1e-7, .absolute = 1e-7};
  REQUIRE(blinking<Blinker<double>>({.relative = 1e-9, .absolute = 1e-9}).run_until(0.02, wanted) == Status::done);
  REQUIRE(blinking<Blinker<double>, Scheme>(settings).run_until(0.02, got) == Status::done);
  REQUIRE(wanted.events.size() == got.events.size());
  for (std::size_t k = 0; k < wanted.events.size(); ++k)
    CHECK(relative_gap(got.events[k].time, wanted.events[k].time) < (Scheme::order == 1 ? 2e-3 : 1e-5));
}

TEST_CASE_TEMPLATE("a run resumed from a saved state equals the run that went on", Scheme, BackwardEuler, Trapezoidal,
                   TrBdf2, Esdirk4) {
  // steps of constant length keep their matrix; a long step limit makes many of them so
  for (const Settings<double>& settings :
       {Settings<double>{}, Settings<double>{.relative = 1e-3, .absolute = 1e-3, .longest_step = 1e-5},
        Settings<double>{.fixed_step = 2e-5}, Settings<double>{.relative = 1e-4, .absolute = 1e-4}}) {
    auto stepper = blinking<Blinker<double>, Scheme>(settings);
    for (const double time : {0.002, 0.007, 0.0071}) {
      CAPTURE(time);
      REQUIRE(stepper.run_until(time) == Status::done);
      for (int k = 0; k < 5; ++k) REQUIRE(succeeded(stepper.step(0.02)));  // in the middle of a run of like steps
      const auto saved = stepper.save();
      StepLog<double> went_on, resumed, elsewhere;
      REQUIRE(stepper.run_until(0.012, went_on) == Status::done);
      const auto at_end = stepper.state();

      stepper.restore(saved);
      CHECK(same_state(stepper.state(), saved));
      REQUIRE(stepper.run_until(0.012, resumed) == Status::done);
      check_same_run(went_on, resumed);
      CHECK(same_state(at_end, stepper.state()));

      auto another = blinking<Blinker<double>, Scheme>(settings);  // in a stepper that has not seen the run before
      another.restore(saved);
      REQUIRE(another.run_until(0.012, elsewhere) == Status::done);
      check_same_run(went_on, elsewhere);
      stepper.restore(saved);
    }
  }
}

TEST_CASE("fixed steps have their length, but for the last before a limit, a breakpoint or an event") {
  StepLog<double> log;
  auto stepper = blinking<Blinker<double>>({.fixed_step = 1e-4});
  REQUIRE(stepper.run_until(0.02, log) == Status::done);
  std::size_t full = 0, shorter = 0;
  double before = 0;
  for (const double time : log.times) {
    const double length = time - before;
    CHECK(length <= 1e-4 * (1 + 1e-6));
    (absolute_gap(length, 1e-4) < 1e-10 ? full : shorter) += 1;
    before = time;
  }
  CHECK(shorter <= log.events.size() + 1);
  CHECK(full > 150);
}

TEST_CASE("the first step after a start and after each event is the one asked for, or as long as the rates allow") {
  StepLog<double> log;
  auto stepper = blinking<Blinker<double>>({.first_step = 1e-7});
  REQUIRE(stepper.run_until(0.02, log) == Status::done);
  const double fastest = 20.0 / 80 * 2e4 * 1e-7;  // s: from 20 V on, through 20 kohm, with the capacitor's own 80 V
  CHECK(log.times[0] >= 1e-7);
  CHECK(log.times[0] < fastest);
  REQUIRE(log.events.size() > 2);
  for (std::size_t k = 0; k + 1 < log.times.size(); ++k)
    for (const auto& event : log.events)
      if (log.times[k] == event.time) {
        CHECK(log.times[k + 1] - log.times[k] >= 1e-7 * (1 - 1e-6));
        CHECK(log.times[k + 1] - log.times[k] < 0.1 * fastest);
      }
}

TEST_CASE("a change from outside may set off events, and the observer hears of them") {
  auto stepper = blinking<Blinker<double>>();
  REQUIRE(stepper.run_until(0.0012) == Status::done);
  REQUIRE(stepper.mode() == 0);
  REQUIRE(stepper.instant().x[0] > 31);
  EventLog<double> log;
  REQUIRE(succeeded(stepper.alter([](Blinker<double>& s, int&) { s.ignition = 30; }, log)));
  REQUIRE(log.events.size() == 1);
  CHECK(log.events[0].time == stepper.time());
  CHECK(stepper.mode() == 1);
}
