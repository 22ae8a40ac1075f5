// SPDX-License-Identifier: MIT
// A tube that waits, with its plate a little above its drop, for a circuit that can feed it steadily: the arc forms at
// the very time at which moving sources come up to that, which is known in closed form.
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/circuit/wired_tube.hpp>
#include <gastube/tube/family/ideal.hpp>

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <string>

using namespace gastube;

namespace {

constexpr double pi = std::numbers::pi, drop = 12, least = 1e-3, feed = 1e3;
enum { ground, middle, source, plate, count };

/// 100 uF at the plate hold it at 12.5 V for long; behind 1 kohm two sines in series about 10 V.
auto circuit(double first, double second) {
  const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = drop, .sustaining_current = least}.build();
  return wire<count>(SineSource<double>{middle, ground, {first, 50, 0, 10}},
                     SineSource<double>{source, middle, {second, 130}}, Resistor{source, plate, feed},
                     Capacitor{plate, ground, 100e-6, 12.5},
                     wired(tube, {.plate = plate, .grid = ground, .cathode = ground}));
}
struct Formed {
  double time = -1;
  void change(double t, const Change& c) {
    if (time < 0 && std::string(c.to) == "conducting") time = t;
  }
};
/// The time by Newton's method from near.
double right_time(double first, double second, double t) {
  for (int k = 0; k < 50; ++k) {
    const double volts = 10 + first * std::sin(100 * pi * t) + second * std::sin(260 * pi * t);
    const double slope = 100 * pi * first * std::cos(100 * pi * t) + 260 * pi * second * std::cos(260 * pi * t);
    t -= (volts - drop - least * feed) / slope;
  }
  return t;
}
/// What the plate's capacitor still has of its charge after the million seconds that count as steady.
constexpr double allowed = 1e-9;  // s

}  // namespace

TEST_CASE("one sine") {
  auto run = start<Exact>(circuit(5, 0));
  Formed formed;
  REQUIRE(run.run_until(5e-3, formed) == Status::done);
  CHECK(std::fabs(formed.time - std::asin(0.6) / (100 * pi)) < allowed);
  CHECK(run.steps() < 10);  // it is not measured again and again
}

TEST_CASE("two sines") {
  auto run = start<Exact>(circuit(3, 2));
  Formed formed;
  REQUIRE(run.run_until(5e-3, formed) == Status::done);
  CHECK(std::fabs(formed.time - right_time(3, 2, 1.5e-3)) < allowed);
}

TEST_CASE("a crest that comes up to it, and one that does not") {
  for (const double miss : {1e-4, -1e-4}) {
    auto run = start<Exact>(circuit(3 + miss, 0));
    Formed formed;
    REQUIRE(run.run_until(9e-3, formed) == Status::done);
    if (miss > 0)
      CHECK(std::fabs(formed.time - std::asin(3 / (3 + miss)) / (100 * pi)) < 3e-7);  // level as the crest is
    else
      CHECK(formed.time < 0);
  }
}

TEST_CASE("an event found so ends the step as any other does, and a saved run repeats it bit for bit") {
  auto run = start<Exact>(circuit(5, 0.5));
  REQUIRE(run.run_until(1e-3) == Status::done);
  const auto saved = run.save();
  CHECK(run.next_event(5e-3) == Status::event);
  const double first = run.time();
  CHECK(std::fabs(first - right_time(5, 0.5, 2e-3)) < allowed);
  run.restore(saved);
  CHECK(run.next_event(5e-3) == Status::event);
  CHECK(run.time() == first);
}
