// SPDX-License-Identifier: MIT
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/shared_run.hpp"
#include "support_for_tests/tight.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <vector>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {

enum { ground, out, node_count };

template <class S>
[[nodiscard]] auto loaded(const PulseSource<S>& source) {
  return shared_start(wire<node_count>(source, Resistor{out, ground, S(100)}));
}

/// Writes down time and voltage after each step.
struct Samples {
  std::vector<double> times, volts;
  template <class Run>
  void step(const Run& run) {
    times.push_back(run.time());
    volts.push_back(voltage(run, out));
  }
};

/// The voltage at a time when schedules have been passed up to there, without any run.
double at(const PulseSource<double>& source, double time) { return source.voltage(time, source.memory(time)); }

}  // namespace

TEST_CASE("a steady source holds its voltage at either sign and tells what it delivers") {
  for (const double volts : {48.0, -12.0}) {
    auto run = shared_start(wire<node_count>(DcSource{out, ground, volts}, Resistor{out, ground, 100.0}));
    REQUIRE(run.run_until(1e-3) == Status::done);
    CHECK(relative_gap(voltage(run, out), volts) < 1e-15);
    CHECK(relative_gap(current(run, "dc source"), volts / 100) < 1e-15);
  }
}

TEST_CASE("a source wired with its plus at ground holds its other end below it") {
  auto run = shared_start(wire<node_count>(DcSource{ground, out, 6.0}, Resistor{out, ground, 100.0}));
  CHECK(voltage(run, out) == -6.0);
  CHECK(relative_gap(current(run, "dc source"), 0.06) < 1e-15);  // it delivers out of its plus
}

TEST_CASE("a sine source is offset + amplitude sin(2 pi f t + phase)") {
  const SineSource<double> source(out, ground, {.amplitude = 10, .frequency = 50, .phase = 0.3, .offset = 2});
  auto run = shared_start(wire<node_count>(source, Resistor{out, ground, 100.0}));
  CHECK(relative_gap(voltage(run, out), 2 + 10 * std::sin(0.3)) < 1e-14);
  for (const double t : {1e-3, 7.7e-3, 0.1234}) {
    REQUIRE(run.run_until(t) == Status::done);
    CHECK(absolute_gap(voltage(run, out), 2 + 10 * std::sin(2 * std::numbers::pi * 50 * t + 0.3)) < 1e-12);
  }
}

TEST_CASE("a sine source into R and C gives the amplitude and lag of the textbook") {
  // closed form for 1 kohm, 1 uF at 1/(2 pi RC) Hz: amplitude 10/sqrt 2, lag 45 degrees, so zero at an eighth of a
  // period
  enum { gnd, source, load, count };
  const double rc = 1e-3, frequency = 1 / (2 * std::numbers::pi * rc);
  auto circuit = wire<count>(SineSource<double>{source, gnd, {.amplitude = 10, .frequency = frequency}},
                             Resistor{source, load, 1e3}, Capacitor{load, gnd, 1e-6, -5.0});  // -5 V: settled at once
  auto run = shared_start(circuit, tight<double>());
  REQUIRE(run.run_until(3.125 / frequency) == Status::done);
  CHECK(absolute_gap(voltage(run, load), 0.0) < 1e-5);
  REQUIRE(run.run_until(3.375 / frequency) == Status::done);
  CHECK(relative_gap(voltage(run, load), 10 / std::numbers::sqrt2) < 1e-6);
}

TEST_CASE("a pulse without ramps has its old value up to the edge and its new one from it on") {
  const PulseSource<double> source(out, ground, {.low = -10, .high = 5, .delay = 1e-3, .width = 2e-3});
  CHECK(at(source, 0) == -10);
  CHECK(at(source, std::nextafter(1e-3, 0.0)) == -10);
  CHECK(at(source, 1e-3) == 5);
  CHECK(at(source, std::nextafter(1e-3 + 2e-3, 0.0)) == 5);
  CHECK(at(source, 1e-3 + 2e-3) == -10);
  CHECK(at(source, 100.0) == -10);  // a single pulse
}

TEST_CASE_TEMPLATE("a run stops at both edges of a pulse to the last digit", S, float, double, long double) {
  const S delay = S(1e-3), width = S(2e-3);
  auto run = loaded<S>({out, ground, {.low = S(-10), .high = S(5), .delay = delay, .width = width}});
  const double round = 4 * double(round_off<S>);
  CHECK(relative_gap(voltage(run, out), -10) < round);
  REQUIRE(run.next_event(S(1)) == Status::event);
  CHECK(run.time() == delay);
  CHECK(relative_gap(voltage(run, out), 5) < round);
  REQUIRE(run.run_until(S(2.9e-3)) == Status::done);
  CHECK(relative_gap(voltage(run, out), 5) < round);
  REQUIRE(run.next_event(S(1)) == Status::event);
  CHECK(run.time() == S(delay + width));
  CHECK(relative_gap(voltage(run, out), -10) < round);
  CHECK(run.next_event(S(1)) == Status::done);  // no further edge
}

TEST_CASE("no step of a run straddles an edge") {
  auto run = loaded<double>({out, ground, {.low = 0, .high = 1, .delay = 3e-4, .width = 1e-4, .period = 1e-3}});
  Samples samples;
  samples.step(run);
  REQUIRE(run.run_until(10e-3, samples) == Status::done);
  std::size_t rises = 0, falls = 0;
  for (std::size_t k = 1; k < samples.times.size(); ++k) {
    const double cycles = std::floor((samples.times[k] + 1e-12) / 1e-3);
    if (samples.volts[k - 1] == 0 && samples.volts[k] == 1) {
      ++rises;
      CHECK(absolute_gap(samples.times[k], 3e-4 + cycles * 1e-3) < 1e-17);
    } else if (samples.volts[k - 1] == 1 && samples.volts[k] == 0) {
      ++falls;
      CHECK(absolute_gap(samples.times[k], 4e-4 + cycles * 1e-3) < 1e-17);
    } else {
      CHECK(samples.volts[k - 1] == samples.volts[k]);
    }
  }
  CHECK(rises == 10);
  CHECK(falls == 10);
}

TEST_CASE("ramps are straight, with corners at rise, width and fall") {
  const PulseSource<double> source(out, ground,
                                   {.low = -2, .high = 6, .delay = 1, .width = 2, .period = 10, .rise = 4, .fall = 1});
  for (const double cycle : {0.0, 10.0, 70.0}) {
    CHECK(at(source, cycle + 1) == -2);
    CHECK(at(source, cycle + 2) == 0);
    CHECK(at(source, cycle + 4) == 4);
    CHECK(at(source, cycle + 5) == 6);
    CHECK(at(source, cycle + 6.5) == 6);
    CHECK(at(source, cycle + 7.25) == 4);
    CHECK(at(source, cycle + 8) == -2);
    CHECK(at(source, cycle + 9) == -2);
  }
}

TEST_CASE("a sine source makes a run look at least 32 times a period") {
  const SineSource<double> source(out, ground, {.amplitude = 10, .frequency = 50});
  auto run = shared_start(wire<node_count>(source, Resistor{out, ground, 100.0}));
  Samples samples;
  REQUIRE(run.run_until(1.0, samples) == Status::done);
  for (std::size_t k = 1; k < samples.times.size(); ++k)
    CHECK(samples.times[k] - samples.times[k - 1] <= 1.1 * source.longest_step({}));
  CHECK(source.longest_step({}) == 1.0 / (32 * 50));
}

TEST_CASE("pulses that follow each other without rest are allowed") {
  const PulseSource<double> source(out, ground,
                                   {.low = 0, .high = 1, .delay = 0, .width = 2, .period = 4, .rise = 1, .fall = 1});
  CHECK(at(source, 4) == 0);
  CHECK(at(source, 4.5) == 0.5);
  CHECK(at(source, 6) == 1);
  CHECK(at(source, 7.75) == 0.25);
}

TEST_CASE("a pulse that begins at the start of the run is there from the start") {
  auto run = loaded<double>({out, ground, {.low = 0, .high = 7, .delay = 0, .width = 1e-3}});
  CHECK(voltage(run, out) == 7);
}

TEST_CASE("the millionth pulse of a train stands where multiplication puts it") {
  const PulseSource<double> source(out, ground,
                                   {.low = 0, .high = 1, .delay = 0.1e-3, .width = 0.1e-3, .period = 1e-3});
  PulseSource<double>::Memory memory = source.memory(0);
  memory.pulse = 1000000;
  CHECK(source.next_breakpoint(0, memory) == 0.1e-3 + 1000000 * 1e-3);
}

TEST_CASE("a schedule's corners come in order and each is passed once") {
  const PulseSource<double> source(out, ground,
                                   {.low = 0, .high = 1, .delay = 1, .width = 3, .period = 9, .rise = 2, .fall = 1});
  PulseSource<double>::Memory memory = source.memory(0);
  for (const double corner : {1.0, 3.0, 6.0, 7.0, 10.0, 12.0, 15.0, 16.0, 19.0}) {
    CHECK(source.next_breakpoint(0, memory) == corner);
    source.pass_breakpoint(corner, memory);
  }
}

TEST_CASE("a period shorter than the pulse is refused with the rule in words") {
  CHECK_THROWS_WITH_AS(
      (PulseSource<double>{out, ground, {.low = 0, .high = 1, .delay = 0, .width = 2, .period = 2.5, .rise = 1}}),
      "pulse source: period = 2.5 s, allowed: 0 for a single pulse, or at least rise + width + fall", InvalidParameter);
}

TEST_CASE("three phases follow each other by 120 degrees, add up to nothing, and are one entry of a circuit") {
  enum { neutral, first, second, third, count };
  auto run = shared_start(wire<count>(
      three_phase<double>({first, second, third}, neutral, {.amplitude = 325, .frequency = 50, .phase = 0.4}),
      std::array{Resistor{first, neutral, 100.0}, Resistor{second, neutral, 100.0}, Resistor{third, neutral, 100.0}}));
  for (const double t : {0.0, 2.1e-3, 0.0137}) {
    if (t > 0) REQUIRE(run.run_until(t) == Status::done);
    const double angle = 2 * std::numbers::pi * 50 * t + 0.4, third_of_turn = 2 * std::numbers::pi / 3;
    CHECK(absolute_gap(voltage(run, first), 325 * std::sin(angle)) < 1e-10);
    CHECK(absolute_gap(voltage(run, second), 325 * std::sin(angle - third_of_turn)) < 1e-10);
    CHECK(absolute_gap(voltage(run, third), 325 * std::sin(angle - 2 * third_of_turn)) < 1e-10);
    CHECK(absolute_gap(voltage(run, first) + voltage(run, second) + voltage(run, third), 0) < 1e-10);
  }
  CHECK(run.system().find("line 3") == 2);
}
