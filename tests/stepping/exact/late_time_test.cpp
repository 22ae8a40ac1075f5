// SPDX-License-Identifier: MIT
// Late in a run, where a double tells times no finer than 15 ps: phases of sources, and events, are as exact as early
// on.
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
#include <vector>

using namespace gastube;

namespace {

constexpr long double pi = std::numbers::pi_v<long double>;
constexpr double late = 1e5;  // s
enum { ground, source, output, count };

/// Time beyond what the clock shows too.
struct Fired {
  std::vector<long double> times = {};
  double hidden = 0;
  template <class Run>
  void arrive(const Run& run) {
    hidden = run.state().at.late;
  }
  void change(double t, const Change& c) {
    if (std::string(c.to) == "conducting") times.push_back(static_cast<long double>(t) + hidden);
  }
};

}  // namespace

TEST_CASE("a segment that begins late has the source's phase") {
  auto run = start(wire<count>(SineSource<double>{source, ground, {10, 50, 0.3}}, Resistor{source, output, 1e3},
                               Capacitor{output, ground, 1e-6}));
  REQUIRE(run.run_until(late + 0.1) == Status::done);
  REQUIRE(succeeded(run.alter([](auto&, auto&) {})));  // begins anew
  for (const double after : {0.0, 1e-3, 3.7e-3, 0.5}) {
    REQUIRE(run.run_until(late + 0.1 + after) == Status::done);
    const long double w = 100 * pi, rc = 1e-3L, turns = 50 * static_cast<long double>(run.time());
    const long double angle = 2 * pi * std::fmod(turns, 1.0L) + 0.3L;
    const double right = double(10 * (std::sin(angle) - w * rc * std::cos(angle)) / (1 + w * w * rc * rc));
    CHECK(std::fabs(voltage(run, output) - right) < 2e-12);  // 250 turns that round off
  }
}

TEST_CASE("a tube fed by a sine fires at the right time of every cycle") {
  // Frequency of a power of two: cycles begin at times that are exact.
  const auto tube =
      IdealTube<double>{.control_ratio = 20, .arc_drop = 15, .sustaining_current = 1e-3, .lowest_plate = 100}.build();
  const auto circuit = wire<count>(SineSource<double>{source, ground, {165, 64}}, Resistor{source, output, 1e3},
                                   wired(tube, {.plate = output, .grid = ground, .cathode = ground}));
  using Wired = std::decay_t<decltype(circuit)>;
  Position<Wired> position(circuit);
  position.time = late;
  ExactStepper<Wired> run(circuit, position, circuit.start_mode(late));
  Fired fired;
  REQUIRE(run.run_until(late + 0.25, fired) == Status::done);
  REQUIRE(fired.times.size() == 16);
  for (std::size_t k = 0; k < 16; ++k) {
    const long double right = late + k / 64.0L + std::asin(100.0L / 165) / (128 * pi);
    CHECK(std::fabs(double(fired.times[k] - right)) < 1e-14);  // 1e-12 of a cycle
  }
}
