// SPDX-License-Identifier: MIT
#include <gastube/circuit/diode.hpp>
#include <gastube/circuit/relay.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/shared_run.hpp"
#include "support_for_tests/tight.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {
enum { ground, drive, work_lamp, rest_lamp, lamp_feed, node_count };

/// A plate-circuit relay of 5 kohm, its inductance doubled when pulled in; values ours.
template <class S>
[[nodiscard]] RelayCoil<S> sensitive() {
  return {.resistance = S(5e3),
          .inductance_open = S(10),
          .inductance_closed = S(20),
          .pull_in = S(6e-3),
          .drop_out = S(2e-3)};
}
template <class S>
[[nodiscard]] auto bench(const RelayTimes<S>& times, const typename PulseSource<S>::Pulse& pulse) {
  return shared_start(
      wire<node_count>(
          PulseSource<S>{drive, ground, pulse}, DcSource{lamp_feed, ground, S(24)},
          Relay<S>{
              drive, ground, {{{.common = lamp_feed, .work = work_lamp, .rest = rest_lamp}}}, sensitive<S>(), times},
          Resistor{work_lamp, ground, S(1e3)}, Resistor{rest_lamp, ground, S(1e3)}),
      tight<S>());
}
/// Times at which the voltage of a node passes 12 V, up or down.
struct Edges {
  Node node;
  std::vector<double> times;
  bool high = false;
  template <class Run>
  void step(const Run& run) {
    const bool now = double(voltage(run, node)) > 12;
    if (now != high) times.push_back(double(run.time()));
    high = now;
  }
};
/// Both lamps and the log.
struct Watch {
  EventLog<double> log;
  Edges work{work_lamp, {}}, rest{rest_lamp, {}, true};
  void change(double time, const Change& change) { log.change(time, change); }
  template <class Run>
  void step(const Run& run) {
    work.step(run);
    rest.step(run);
  }
};
}  // namespace

TEST_CASE_TEMPLATE("the coil's current rises to pull-in, the contacts change after the stated times", S, float, double,
                   long double) {
  const RelayTimes<S> times{.pull_in = S(4e-3L), .release = S(3e-3L), .flight = S(1e-3L)};
  auto run = bench<S>(times, {.low = S(0), .high = S(50), .delay = S(0.01L), .width = S(0.1L)});
  CHECK(relative_gap(voltage(run, rest_lamp), 24) < 1e-6);
  EventLog<S> log;
  REQUIRE(run.run_until(S(0.2L), log) == Status::done);
  REQUIRE(log.events.size() == 6);
  const double reach = sizeof(S) < sizeof(double) ? 1e-4 : 5e-8;
  // L/R ln(1 / (1 - 6 mA / 10 mA)); then by the clock; closed L: from 10 mA down to 2 mA, L/R ln 5
  const double pulled = 0.01 + 2e-3 * std::log(1 / 0.4), released = 0.11 + 4e-3 * std::log(5.0);
  CHECK(relative_gap(log.times("relay", "attracted")[0], pulled) < reach);
  CHECK(relative_gap(log.times("relay", "closing")[0], pulled + 3e-3) < reach);
  CHECK(relative_gap(log.times("relay", "held")[0], pulled + 4e-3) < reach);
  CHECK(relative_gap(log.times("relay", "let go")[0], released) < reach);
  CHECK(relative_gap(log.times("relay", "opening")[0], released + 2e-3) < reach);
  CHECK(relative_gap(log.times("relay", "resting")[0], released + 3e-3) < reach);
}

TEST_CASE("one contact is broken before the other is made, and each carries its own circuit") {
  auto run = bench<double>({.pull_in = 4e-3, .release = 3e-3, .flight = 1e-3},
                           {.low = 0, .high = 50, .delay = 0.01, .width = 0.1});
  const auto lamps = [&](double until) {
    REQUIRE(run.run_until(until) == Status::done);
    return std::array{voltage(run, work_lamp), voltage(run, rest_lamp)};
  };
  const double pulled = 0.01 + 2e-3 * std::log(1 / 0.4);
  CHECK(lamps(pulled + 2.9e-3) == std::array{0.0, 24.0});
  CHECK(lamps(pulled + 3.5e-3) == std::array{0.0, 0.0});
  CHECK(lamps(pulled + 4.1e-3) == std::array{24.0, 0.0});
  CHECK(lamps(0.2) == std::array{0.0, 24.0});
}

TEST_CASE("the flux stays as the armature closes: the current dips by the ratio of the inductances") {
  auto run = bench<double>({.pull_in = 1e-3}, {.low = 0, .high = 50, .delay = 0, .width = 1});
  EventLog<double> log;
  double before = 0;
  while (log.count("relay", "held") == 0) {
    before = current(run, "relay");
    REQUIRE(succeeded(run.step(1.0, log)));
  }
  const double pulled = 2e-3 * std::log(1 / 0.4) + 1e-3;
  const double at_closing = 10e-3 * (1 - std::exp(-pulled / 2e-3));
  CHECK(before <= at_closing);
  CHECK(relative_gap(current(run, "relay"), 0.5 * at_closing) < 1e-6);
}

TEST_CASE("a pull too short for the armature to leave its rest changes no contact") {
  auto run = bench<double>({.pull_in = 4e-3, .release = 3e-3, .flight = 1e-3},
                           {.low = 0, .high = 50, .delay = 0, .width = 2e-3});
  Watch watch;
  REQUIRE(run.run_until(0.05, watch) == Status::done);
  const auto& log = watch.log;
  CHECK(log.count("relay", "attracted") == 1);
  CHECK(log.count("relay", "resting") == 1);
  CHECK(log.events.size() == 2);
  CHECK(watch.work.times.empty());
  CHECK(watch.rest.times.empty());
}

TEST_CASE("a current that comes back while the armature falls turns it round in flight") {
  // off for just so long that it is in flight when the second pull reaches 6 mA
  auto run = bench<double>({.pull_in = 4e-3, .release = 3e-3, .flight = 2.5e-3},
                           {.low = 0, .high = 50, .delay = 0, .width = 0.05, .period = 0.0575});
  EventLog<double> log;
  REQUIRE(run.run_until(0.1, log) == Status::done);
  const auto opening = log.times("relay", "opening"), closing = log.times("relay", "closing");
  REQUIRE(opening.size() == 1);
  REQUIRE(closing.size() == 2);
  CHECK(closing[1] > opening[0]);
  CHECK(closing[1] < opening[0] + 2.5e-3);
  CHECK(log.count("relay", "resting") == 0);
  CHECK(relative_gap(log.times("relay", "held")[1] - closing[1], 2.5e-3) < 1e-9);
}

TEST_CASE("bounce opens and closes the contact it comes down on, at equal intervals after the first touch") {
  auto run = bench<double>({.pull_in = 2e-3, .release = 1e-3, .bounce = {.bounces = 2, .time = 4e-3}},
                           {.low = 0, .high = 50, .delay = 0, .width = 0.1});
  Watch watch;
  REQUIRE(run.run_until(0.15, watch) == Status::done);
  const auto &work = watch.work, &rest = watch.rest;
  REQUIRE(work.times.size() == 6);  // touch, two openings, and the release
  REQUIRE(rest.times.size() == 6);  // leaves, comes down, two openings
  for (std::size_t k = 1; k < 5; ++k) {
    CHECK(relative_gap(work.times[k] - work.times[k - 1], 1e-3) < 1e-9);
    CHECK(relative_gap(rest.times[k + 1] - rest.times[k], 1e-3) < 1e-9);
  }
  CHECK(rest.times[0] == work.times[0]);
  CHECK(rest.times[1] == work.times[5]);
}

TEST_CASE("a buzzer, its coil fed through its own rest contact, has the closed form's period") {
  // L/R while fed, L/(R + Rp) through the resistor across the coil when not; delays by the clock
  enum { gnd, supply, coil, count };
  const RelayCoil<double> winding{
      .resistance = 100, .inductance_open = 1, .inductance_closed = 1, .pull_in = 60e-3, .drop_out = 20e-3};
  const double pull = 2e-3, release = 1.5e-3, shunt = 300, full = 12.0 / 100;
  auto run = shared_start(
      wire<count>(DcSource{supply, gnd, 12.0}, Resistor{coil, gnd, shunt},
                  Relay<double>{
                      coil, gnd, {{{.common = supply, .rest = coil}}}, winding, {.pull_in = pull, .release = release}}),
      tight<double>());
  EventLog<double> log;
  REQUIRE(run.run_until(0.2, log) == Status::done);
  const double rising = 1.0 / 100, falling = 1.0 / 400;
  const double at_break = full - (full - 60e-3) * std::exp(-pull / rising),
               at_make = 20e-3 * std::exp(-release / falling);
  const double period =
      rising * std::log((full - at_make) / (full - 60e-3)) + pull + falling * std::log(at_break / 20e-3) + release;
  const auto held = log.times("relay", "held");
  REQUIRE(held.size() > 8);
  CHECK(relative_gap(held[6] - held[5], period) < 1e-7);
}

TEST_CASE("two contacts of one relay change together; sides left out are open for good") {
  enum { gnd, coil, feed, left, right, count };
  const Relay<double, 2> relay{
      coil, gnd, {{{.common = left, .work = gnd}, {.common = right, .rest = gnd}}}, sensitive<double>()};
  auto run =
      shared_start(wire<count>(PulseSource<double>{coil, gnd, {.low = 0, .high = 50, .delay = 1e-3, .width = 1}}, relay,
                               DcSource{feed, gnd, 5.0}, Resistor{feed, left, 1e3}, Resistor{feed, right, 1e3}));
  CHECK(relative_gap(voltage(run, left), 5) < 1e-12);
  CHECK(absolute_gap(voltage(run, right), 0) < 1e-12);
  REQUIRE(run.run_until(0.1) == Status::done);
  CHECK(absolute_gap(voltage(run, left), 0) < 1e-12);
  CHECK(relative_gap(voltage(run, right), 5) < 1e-12);
}

TEST_CASE("a relay that could not hold what it has pulled is refused, as are times shorter than the flight") {
  const auto relay = [](RelayCoil<double> coil, RelayTimes<double> times) {
    return Relay<double>{drive, ground, {{{.common = lamp_feed, .work = work_lamp}}}, coil, times};
  };
  RelayCoil<double> weak = sensitive<double>();
  weak.drop_out = 3.5e-3;
  CHECK_THROWS_WITH_AS(relay(weak, {}),
                       "relay: drop_out = 0.0035 A, allowed: at most pull_in inductance_open / inductance_closed",
                       InvalidParameter);
  CHECK_THROWS_WITH_AS(relay(sensitive<double>(), {.pull_in = 1e-3, .release = 3e-3, .flight = 2e-3}),
                       "relay: pull_in time = 0.001 s, allowed: at least 0.002 s", InvalidParameter);
}
