// SPDX-License-Identifier: MIT
// Events: when they happen, in which order, and what happens at one instant.
#include <gastube/stepping/stepper.hpp>
#include <gastube/support/root.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/quiet_system.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <string>
#include <vector>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {

/// So fine that what remains is the schemes' own error; some 10 000 steps a time constant.
template <class S>
Settings<S> fine() {
  const S error = S(sizeof(S) < sizeof(double) ? 1e-6 : 1e-13);
  return {.relative = error, .absolute = error};
}

/// A capacitor charged through a resistor, and a level its voltage passes. Mode 0: below; mode 1: above, where the
/// guard is the same voltage the other way round, hence exactly zero right after the event.
template <class S>
struct Charging : QuietSystem<S, 1> {
  S resistance = S(1e5), capacitance = S(1e-6), supply = S(60), level = S(48);
  void write(const Instant<S>& at, int, Equations<S>& eq) const {
    eq.store(0, 0, capacitance);
    eq.flow(0, S((at.x[0] - supply) / resistance));
    eq.flow_slope(0, 0, S(S(1) / resistance));
  }
  [[nodiscard]] std::size_t guards() const { return 1; }
  [[nodiscard]] S guard(std::size_t, const Instant<S>& at, int mode) const {
    return mode == 0 ? S(level - at.x[0]) : S(at.x[0] - level);
  }
  Change fire(std::size_t, const Instant<S>&, int& mode, S*) const {
    mode = 1 - mode;
    return {"level", mode == 1 ? "below" : "above", mode == 1 ? "above" : "below", "voltage"};
  }
};

/// The same with another guard before it that leaps where the level is, without ever falling.
struct Leaping : Charging<double> {
  [[nodiscard]] std::size_t guards() const { return 2; }
  [[nodiscard]] double guard(std::size_t k, const Instant<double>& at, int mode) const {
    if (k == 0) return at.x[0] < level ? 1e30 : 20.0;
    return mode == 0 ? level - at.x[0] : 1.0;
  }
};

/// The same driven by a sine: the level is passed again and again, both ways.
struct Driven : Charging<double> {
  double amplitude = 100, frequency = 50;  // V, Hz
  [[nodiscard]] double angular() const { return 2 * std::acos(-1.0) * frequency; }
  void write(const Instant<double>& at, int, Equations<double>& eq) const {
    eq.store(0, 0, capacitance);
    eq.flow(0, (at.x[0] - amplitude * std::sin(angular() * at.time)) / resistance);
    eq.flow_slope(0, 0, 1 / resistance);
  }
  /// Closed form from rest.
  [[nodiscard]] long double exact(long double t) const {
    const long double w = static_cast<long double>(angular()), height = static_cast<long double>(amplitude);
    const long double tau = static_cast<long double>(resistance) * static_cast<long double>(capacitance);
    const long double lag = std::atan(w * tau);
    return height * std::cos(lag) * (std::sin(w * t - lag) + std::sin(lag) * std::exp(-t / tau));
  }
};

/// Inductor and capacitor: voltage and current swing for ever.
struct Swinging : QuietSystem<double, 2> {
  double inductance = 0.1, capacitance = 1e-6, level = -20;
  void write(const Instant<double>& at, int, Equations<double>& eq) const {
    eq.store(0, 0, capacitance);
    eq.flow(0, at.x[1]), eq.flow_slope(0, 1, 1.0);
    eq.store(1, 1, inductance);
    eq.flow(1, -at.x[0]), eq.flow_slope(1, 0, -1.0);
  }
  [[nodiscard]] std::size_t guards() const { return 1; }
  [[nodiscard]] double nominal(std::size_t k) const { return k == 0 ? 1.0 : 1e-3; }
  [[nodiscard]] double guard(std::size_t, const Instant<double>& at, int mode) const {
    return mode == 0 ? at.x[0] - level : 1.0;
  }
  Change fire(std::size_t, const Instant<double>&, int& mode, double*) const {
    mode = 1;
    return {};
  }
};

/// A clock: one unknown that rises by 1 per second, and as many levels as are given; mode holds who has fired.
struct Clock : QuietSystem<double, 1, 0, std::vector<int>> {
  std::vector<double> levels, steepness;
  void write(const Instant<double>&, const std::vector<int>&, Equations<double>& eq) const {
    eq.store(0, 0, 1.0);
    eq.flow(0, -1.0);
  }
  [[nodiscard]] std::size_t guards() const { return levels.size(); }
  [[nodiscard]] double guard(std::size_t k, const Instant<double>& at, const std::vector<int>& fired) const {
    return fired[k] == 0 ? steepness[k] * (levels[k] - at.x[0]) : 1.0;
  }
  Change fire(std::size_t k, const Instant<double>&, std::vector<int>& fired, double*) const {
    static constexpr const char* names[] = {"first", "second", "third", "fourth"};
    fired[k] = 1;
    return {names[k], "waiting", "fired", "clock"};
  }
};

/// A ring of elements: when the clock passes its level the first fires, and each that is lit puts out or lights the
/// next at the same instant. `links` of them pass it on; for ever if the ring is closed.
struct Ring : QuietSystem<double, 1, 0, std::vector<int>> {
  std::size_t links = 2;
  bool closed = false;
  void write(const Instant<double>&, const std::vector<int>&, Equations<double>& eq) const {
    eq.store(0, 0, 1.0);
    eq.flow(0, -1.0);
  }
  [[nodiscard]] std::size_t guards() const { return links; }
  [[nodiscard]] double guard(std::size_t k, const Instant<double>& at, const std::vector<int>& state) const {
    const bool turn = k == 0 ? closed && state[links - 1] > state[0] - 1 && state[0] > 0 : state[k - 1] > state[k];
    if (turn) return -1.0;
    return k == 0 && state[0] == 0 ? 0.3 - at.x[0] : 1.0;
  }
  Change fire(std::size_t k, const Instant<double>&, std::vector<int>& state, double*) const {
    static constexpr const char* names[] = {"A", "B", "C", "D"};
    ++state[k];
    return {names[k], "before", "after", k == 0 ? "clock" : "neighbour"};
  }
};

}  // namespace

TEST_CASE_TEMPLATE("a charging capacitor reaches its level when the closed form says", S, float, double, long double) {
  const Charging<S> system;
  double worst = 0;
  for (const double level : {1.0, 24.0, 48.0}) {
    CAPTURE(level);
    Charging<S> at_level = system;
    at_level.level = S(level);
    Stepper<Charging<S>> stepper(at_level, start_at(system, -5.0), 0, fine<S>());
    REQUIRE(stepper.next_event(S(10)) == Status::event);
    // closed form, worked here: R C ln((E - V0) / (E - Vs))
    const long double wanted = 0.1L * std::log(65.0L / (60.0L - static_cast<long double>(level)));
    worst = std::max(worst, relative_gap(stepper.time(), wanted));
    CHECK(relative_gap(stepper.instant().x[0], level) < 4 * double(round_off<S>));
    CHECK(stepper.instant().x[0] >= S(level));  // on the far side, never short of it
  }
  CHECK(worst < (std::is_same_v<S, float> ? 1e-4 : 1e-9));
}

TEST_CASE_TEMPLATE("every scheme finds the same event to its own accuracy", Scheme, BackwardEuler, Trapezoidal, TrBdf2,
                   Esdirk4) {
  const Charging<double> system;
  Settings<double> settings;
  settings.relative = settings.absolute = 1e-7;
  Stepper<Charging<double>, Scheme> stepper(system, start_at(system, 0.0), 0, settings);
  REQUIRE(stepper.next_event(10.0) == Status::event);
  CHECK(relative_gap(stepper.time(), 0.1 * std::log(5.0)) < (Scheme::order == 1 ? 1e-3 : 1e-5));
}

TEST_CASE("a sine passes its level when the closed form says, both ways") {
  Driven system;
  system.resistance = 1e4, system.level = 20;
  Stepper<Driven> stepper(system, start_at(system, 0.0), 0, fine<double>());
  EventLog<double> log;
  REQUIRE(stepper.run_until(0.04, log) == Status::done);
  REQUIRE(log.events.size() == 4);
  for (std::size_t k = 0; k < log.events.size(); ++k) {
    const long double time = static_cast<long double>(log.events[k].time);
    CHECK(std::string(log.events[k].change.to) == (k % 2 == 0 ? "above" : "below"));
    const auto distance = [&](long double t) { return system.exact(t) - 20; };
    const long double wanted = find_root(distance, time - 1e-4L, time + 1e-4L, 1e-18L);
    CHECK(relative_gap(time, wanted) < 1e-9);
  }
}

TEST_CASE("an oscillator passes its level when the closed form says") {
  const Swinging system;
  Stepper<Swinging> stepper(system, start_at(system, 30.0, 0.0), 0, fine<double>());
  REQUIRE(stepper.next_event(1.0) == Status::event);
  // closed form: 30 cos(t / sqrt(L C)) = -20
  const double wanted = std::sqrt(1e-7) * std::acos(-2.0 / 3);
  CHECK(relative_gap(stepper.time(), wanted) < 1e-9);
}

TEST_CASE("the error of an event's time shrinks with the scheme's order") {
  const Charging<double> system;
  const auto error = [&](double step) {
    Settings<double> settings{.relative = 1e-13, .absolute = 1e-13, .fixed_step = step};
    Stepper<Charging<double>> stepper(system, start_at(system, 0.0), 0, settings);
    REQUIRE(stepper.next_event(10.0) == Status::event);
    return relative_gap(stepper.time(), 0.1 * std::log(5.0));
  };
  CHECK(absolute_gap(std::log2(error(1e-3) / error(5e-4)), 2.0) < 0.1);
}

TEST_CASE("after an event whose guard is left at zero nothing fires again") {
  const Charging<double> system;
  for (const double tolerance : {1e-3, 1e-6, 1e-10}) {
    CAPTURE(tolerance);
    Settings<double> settings;
    settings.relative = settings.absolute = tolerance;
    Stepper<Charging<double>> stepper(system, start_at(system, 0.0), 0, settings);
    EventLog<double> log;
    REQUIRE(stepper.run_until(1.0, log) == Status::done);
    CHECK(log.events.size() == 1);
    CHECK(stepper.mode() == 1);
  }
}

TEST_CASE("an event between the stages of a step is not jumped over") {
  // the guard falls and rises again well within one long step; the step is exact, so the error estimate allows any
  // length
  struct Dip : Clock {
    [[nodiscard]] std::size_t guards() const { return 1; }
    [[nodiscard]] double guard(std::size_t, const Instant<double>& at, const std::vector<int>& fired) const {
      return fired[0] == 0 ? std::abs(at.x[0] - 0.58) - 0.05 : 1.0;  // TR-BDF2 looks at 0.586 of its step
    }
  };
  Dip system;
  Settings<double> settings{.fixed_step = 1.0};
  Stepper<Dip> stepper(system, start_at(system, 0.0), std::vector<int>{0}, settings);
  EventLog<double> log;
  REQUIRE(stepper.run_until(1.0, log) == Status::done);
  REQUIRE(log.events.size() == 1);
  CHECK(absolute_gap(log.events[0].time, 0.53) < 1e-12);
}

TEST_CASE("a guard that leaps but does not fall makes no other late") {
  for (const double error : {1e-5, 1e-7, 1e-9, 1e-11}) {
    CAPTURE(error);
    const Leaping system;
    Stepper<Leaping> stepper(system, start_at(system, -5.0), 0, {.relative = error, .absolute = error});
    EventLog<double> log;
    REQUIRE(stepper.next_event(10, log) == Status::event);
    CHECK(relative_gap(stepper.instant().x[0], 48.0) < 1e-12);
  }
}

TEST_CASE("of several events within one step the earliest comes first, whatever its number") {
  Clock system;
  system.levels = {0.7, 0.3, 0.5};
  system.steepness = {1, 1, 1};
  Settings<double> settings{.fixed_step = 1.0};
  Stepper<Clock> stepper(system, start_at(system, 0.0), std::vector<int>(3), settings);
  EventLog<double> log;
  REQUIRE(stepper.run_until(2.0, log) == Status::done);
  REQUIRE(log.events.size() == 3);
  CHECK(std::string(log.events[0].change.subject) == "second");
  CHECK(std::string(log.events[1].change.subject) == "third");
  CHECK(std::string(log.events[2].change.subject) == "first");
  CHECK(absolute_gap(log.events[0].time, 0.3) < 1e-14);
  CHECK(absolute_gap(log.events[1].time, 0.5) < 1e-14);
  CHECK(absolute_gap(log.events[2].time, 0.7) < 1e-14);
}

TEST_CASE("simultaneous events come at the same time, in the order of their numbers") {
  for (const std::vector<double>& steepness :
       {std::vector<double>{1, 1, 1}, {1, 10, 0.1}, {100, 1, 7}, {0.01, 1, 100}}) {
    Clock system;
    system.levels = {0.4, 0.4, 0.4};
    system.steepness = steepness;
    Stepper<Clock> stepper(system, start_at(system, 0.0), std::vector<int>(3));
    EventLog<double> log;
    REQUIRE(stepper.run_until(1.0, log) == Status::done);
    REQUIRE(log.events.size() == 3);
    CHECK(std::string(log.events[0].change.subject) == "first");
    CHECK(std::string(log.events[1].change.subject) == "second");
    CHECK(std::string(log.events[2].change.subject) == "third");
    CHECK(log.events[0].time == log.events[1].time);
    CHECK(log.events[0].time == log.events[2].time);
  }
}

TEST_CASE("an event that sets off another settles with both logged at the same time") {
  for (const std::size_t links : {std::size_t{2}, std::size_t{3}, std::size_t{4}}) {
    CAPTURE(links);
    Ring system;
    system.links = links;
    Stepper<Ring> stepper(system, start_at(system, 0.0), std::vector<int>(links));
    EventLog<double> log;
    REQUIRE(stepper.next_event(1.0, log) == Status::event);
    REQUIRE(log.events.size() == links);
    for (const auto& event : log.events) CHECK(event.time == stepper.time());
    CHECK(std::string(log.events[0].change.subject) == "A");
    CHECK(std::string(log.events[1].change.subject) == "B");
    CHECK(std::string(log.events[1].change.why) == "neighbour");
    CHECK(stepper.mode() == std::vector<int>(links, 1));
    CHECK(absolute_gap(stepper.time(), 0.3) < 1e-14);
    REQUIRE(stepper.run_until(1.0, log) == Status::done);
    CHECK(log.events.size() == links);
  }
}

TEST_CASE("events that set each other off for ever end the run, and the state is as before") {
  Ring system;
  system.closed = true;
  Stepper<Ring> stepper(system, start_at(system, 0.0), std::vector<int>(2));
  REQUIRE(stepper.run_until(0.25) == Status::done);
  Status status = Status::done;
  while (status == Status::done) {
    const auto before = stepper.state();
    const long steps = stepper.steps();
    status = stepper.step(1.0);
    if (status == Status::done) continue;
    CHECK(status == Status::unsettled_cascade);
    CHECK(same_state(before, stepper.state()));
    CHECK(stepper.steps() == steps);
    CHECK(stepper.step(1.0) == Status::unsettled_cascade);  // and it stays so
    CHECK(same_state(before, stepper.state()));
  }
  CHECK(stepper.time() < 0.3);
}

TEST_CASE("the limit of a cascade is the number of events allowed at one instant") {
  for (const int limit : {1, 2, 3, 4, 5}) {
    CAPTURE(limit);
    Ring system;
    system.links = 4;
    Settings<double> settings;
    settings.cascade_limit = limit;
    Stepper<Ring> stepper(system, start_at(system, 0.0), std::vector<int>(4), settings);
    CHECK(stepper.next_event(1.0) == (limit < 4 ? Status::unsettled_cascade : Status::event));
  }
}

TEST_CASE("an event that is due at the start happens at the start") {
  Clock system;
  system.levels = {-1.0};
  system.steepness = {1.0};
  Stepper<Clock> stepper(system, start_at(system, 0.0), std::vector<int>(1));
  CHECK(succeeded(stepper.start_status()));
  CHECK(stepper.mode()[0] == 1);
  CHECK(stepper.time() == 0.0);
}

TEST_CASE("events late in a long run are found as exactly as the clock can show") {
  Clock system;
  system.levels = {1e6 + 0.3};
  system.steepness = {1.0};
  auto start = start_at(system, 1e6);
  start.time = 1e6;
  Stepper<Clock> stepper(system, start, std::vector<int>(1));
  EventLog<double> log;
  REQUIRE(stepper.run_until(1e6 + 1, log) == Status::done);
  REQUIRE(log.events.size() == 1);
  CHECK(absolute_gap(log.events[0].time, 1e6 + 0.3) <= 4 * 1.2e-10);
}
