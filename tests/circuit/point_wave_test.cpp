// SPDX-License-Identifier: MIT
#include <gastube/circuit/point_wave.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/shared_run.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {
enum { ground, out, node_count };

template <class Wave>
[[nodiscard]] double at(const Wave& wave, double time) {
  return wave.value(time, wave.memory(time));
}
}  // namespace

TEST_CASE("straight lines lie between points; before and after them it stays; two points at one time are a jump") {
  const auto wave = through<double>({{1, 10}, {3, 20}, {3, -5}, {4, 0}});
  CHECK(at(wave, 0) == 10);
  CHECK(at(wave, 1.5) == 12.5);
  CHECK(at(wave, std::nextafter(3.0, 0.0)) == doctest::Approx(20).epsilon(1e-12));
  CHECK(at(wave, 3) == -5);
  CHECK(at(wave, 3.5) == -2.5);
  CHECK(at(wave, 100) == 0);
}

TEST_CASE_TEMPLATE("a run stops at every point and is straight between them", S, float, double, long double) {
  const auto wave = through<S>({{S(1e-3L), S(0)}, {S(2e-3L), S(50)}, {S(5e-3L), S(-10)}});
  auto run = shared_start(wire<node_count>(VoltageSource{out, ground, wave}, Resistor{out, ground, S(1e3)}));
  for (const long double corner : {1e-3L, 2e-3L, 5e-3L}) {
    REQUIRE(run.next_event(S(1)) == Status::event);
    CHECK(run.time() == S(corner));
  }
  CHECK(relative_gap(voltage(run, out), -10) < 8 * double(round_off<S>));
  CHECK(run.next_event(S(1)) == Status::done);
}

TEST_CASE("samples at equal intervals are joined by lines, or held") {
  const std::vector<double> recorded{0, 3, 1, 4};
  const RegularSamples<double> samples{0.5, 0.25, recorded};
  const auto linear = sampled(samples), held = sampled(samples, Between::held);
  CHECK(at(linear, 0.625) == 1.5);
  CHECK(at(linear, 0.875) == 2.0);
  CHECK(at(held, 0.74) == 0.0);
  CHECK(at(held, 0.75) == 3.0);
  CHECK(at(held, 2.0) == 4.0);
}

TEST_CASE("samples with their times are followed by a run, here a recorded sine to its own resolution") {
  std::vector<TimedValue<double>> recorded;
  for (int k = 0; k <= 400; ++k) recorded.push_back({k * 1e-4, 20 * std::sin(2 * 3.14159265358979 * 50 * k * 1e-4)});
  auto run =
      shared_start(wire<node_count>(VoltageSource{out, ground, sampled<double>(recorded)}, Resistor{out, ground, 1e3}));
  double worst = 0;
  while (run.time() < 0.04) {
    REQUIRE(succeeded(run.step(0.04)));
    worst = std::fmax(worst, absolute_gap(voltage(run, out), 20 * std::sin(2 * 3.14159265358979 * 50 * run.time())));
  }
  CHECK(worst < 20 * std::pow(2 * 3.14159265358979 * 50 * 1e-4, 2) / 8 * 1.001);  // of a chord
  CHECK(run.steps() >= 400);
}

TEST_CASE("a ramp runs straight from its beginning to its end") {
  const auto wave = ramp(2.0, 12.0, 1.0, 4.0);
  CHECK(at(wave, 0.5) == 2.0);
  CHECK(at(wave, 2.0) == 4.5);
  CHECK(at(wave, 9.0) == 12.0);
  const auto jump = ramp(2.0, 12.0, 1.0, 0.0);
  CHECK(at(jump, std::nextafter(1.0, 0.0)) == 2.0);
  CHECK(at(jump, 1.0) == 12.0);
}

TEST_CASE("points out of order and samples of nothing are refused") {
  CHECK_THROWS_WITH_AS((VoltageSource{out, ground, through<double>({{2, 0}, {1, 5}})}),
                       "voltage source: point time = 1 s, allowed: at least 2 s", InvalidParameter);
  CHECK_THROWS_WITH_AS((VoltageSource{out, ground, sampled(std::span<const TimedValue<double>>())}),
                       "voltage source: number of points = 0, allowed: at least 1", InvalidParameter);
  CHECK_THROWS_WITH_AS(static_cast<void>(sampled(RegularSamples<double>{0, 0, {}})),
                       "samples: interval = 0 s, allowed: above 0 s", InvalidParameter);
}
