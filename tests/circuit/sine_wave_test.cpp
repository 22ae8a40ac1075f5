// SPDX-License-Identifier: MIT
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sine_wave.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/circuit/voltmeter.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/shared_run.hpp"
#include "support_for_tests/tight.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {
enum { ground, out, node_count };
constexpr double pi = std::numbers::pi;
}  // namespace

TEST_CASE("a sine is offset + amplitude sin(2 pi f t + phase)") {
  const SineWave<double> wave{.amplitude = 10, .frequency = 50, .phase = 0.3, .offset = 2};
  for (const double t : {0.0, 1e-3, 0.1234})
    CHECK(absolute_gap(wave.value(t, {}), 2 + 10 * std::sin(2 * pi * 50 * t + 0.3)) < 1e-13);
}

TEST_CASE_TEMPLATE("rectified sines average 2/pi and 1/pi of their crest", S, float, double, long double) {
  const auto mean = [](Rectified kind) {
    const RectifiedSine<S> wave{.amplitude = S(100), .frequency = S(50), .kind = kind};
    auto run =
        shared_start(wire<node_count>(VoltageSource{out, ground, wave}, Voltmeter{out, ground, S(1e3)}), tight<S>());
    REQUIRE(run.run_until(S(0.04L)) == Status::done);
    return follower(run, 1) / S(0.04L);
  };
  CHECK(relative_gap(mean(Rectified::full_wave), 200 / pi) < tight_reach<S>);
  CHECK(relative_gap(mean(Rectified::half_wave), 100 / pi) < tight_reach<S>);
}

TEST_CASE("a rectified sine has its corners where the sine passes zero, at any phase, and knows them asked late") {
  for (const double phase : {0.0, 1.0, -2.0, 7.0}) {
    CAPTURE(phase);
    const RectifiedSine<double> wave{.amplitude = 10, .frequency = 60, .phase = phase};
    for (double t = 0; t < 0.05; t += 0.00037) {
      const auto memory = wave.memory(t);
      CHECK(absolute_gap(wave.value(t, memory), std::fabs(10 * std::sin(2 * pi * 60 * t + phase))) < 1e-12);
      const double corner = wave.next_breakpoint(t, memory);
      CHECK(corner > t);
      CHECK(corner - t <= 1 / 120.0 + 1e-12);
      CHECK(absolute_gap(std::sin(2 * pi * 60 * corner + phase), 0) < 1e-12);
    }
  }
}

TEST_CASE("half waves leave the negative ones out") {
  const RectifiedSine<double> wave{.amplitude = 10, .frequency = 50, .kind = Rectified::half_wave};
  CHECK(relative_gap(wave.value(5e-3, wave.memory(5e-3)), 10) < 1e-15);
  CHECK(wave.value(15e-3, wave.memory(15e-3)) == 0.0);
}

TEST_CASE("a frequency of nothing is refused") {
  CHECK_THROWS_WITH_AS((VoltageSource{out, ground, RectifiedSine<double>{.amplitude = 1, .frequency = 0}}),
                       "voltage source: frequency = 0 Hz, allowed: above 0 Hz", InvalidParameter);
}
