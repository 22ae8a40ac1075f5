// SPDX-License-Identifier: MIT
// Derivatives of event times through the exact scheme, against closed forms and differences.
#include <gastube/adapt/dual.hpp>
#include <gastube/stepping/exact/exact.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/exact_circuit.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <numbers>

using namespace gastube;
using closeness::relative_gap;

namespace {

using D = Dual<double, 4>;
enum Parameter { supply_volts, resistance, capacitance, grid_bias };
constexpr std::array<double, 4> values{250, 100e3, 10e-9, -5};

template <class S>
[[nodiscard]] std::vector<S> firings(const std::array<S, 4>& p) {
  auto run = Flasher<S>{.volts = p[supply_volts], .ohms = p[resistance], .farads = p[capacitance], .bias = p[grid_bias]}
                 .circuit()
                 .start();
  EventLog<S> log;
  REQUIRE(run.run_until(S(2e-3), log) == Status::done);
  return log.times("ideal tube", "conducting");
}
[[nodiscard]] std::vector<D> firings_with_slopes() {
  std::array<D, 4> p;
  for (std::size_t k = 0; k < 4; ++k) p[k] = D::variable(values[k], k);
  return firings(p);
}

}  // namespace

TEST_CASE("the first firing has the derivatives of RC ln(E / (E - Vs))") {
  const auto fired = firings_with_slopes();
  REQUIRE(fired.size() == 4);
  const double e = values[supply_volts], r = values[resistance], c = values[capacitance], vs = -20 * values[grid_bias];
  const auto& slopes = fired[0].partials();
  CHECK(relative_gap(value_of(fired[0]), r * c * std::log(e / (e - vs))) < 1e-14);
  CHECK(relative_gap(slopes[supply_volts], r * c * (1 / e - 1 / (e - vs))) < 1e-12);
  CHECK(relative_gap(slopes[resistance], c * std::log(e / (e - vs))) < 1e-12);
  CHECK(relative_gap(slopes[capacitance], r * std::log(e / (e - vs))) < 1e-12);
  CHECK(relative_gap(slopes[grid_bias], -20 * r * c / (e - vs)) < 1e-12);
}

TEST_CASE("later firings, through all events before them, have the derivatives that differences show") {
  const auto fired = firings_with_slopes();
  for (std::size_t k = 0; k < 4; ++k) {
    const double h = 1e-5 * values[k];
    auto low = values, high = values;
    low[k] -= h;
    high[k] += h;
    const auto before = firings(low), after = firings(high);
    for (const std::size_t n : {std::size_t(1), std::size_t(3)}) {
      CAPTURE(k);
      CAPTURE(n);
      CHECK(relative_gap(fired[n].partials()[k], (after[n] - before[n]) / (2 * h)) < 1e-6);
    }
  }
}

TEST_CASE("a firing on a sine has the derivatives of the arc sine") {
  // the grid comes up to -5 V on the plate's 100 V: sin(w t) = (-5 - offset) / amplitude
  const D amplitude = D::variable(10.0, 0), offset = D::variable(-12.0, 1), frequency = D::variable(50.0, 2);
  const IdealTube<D> type{.control_ratio = D(20), .arc_drop = D(15), .sustaining_current = D(1e-3)};
  const auto tube = wired(type.build(ExponentialRecovery<D>{D(1e-6)}), {.plate = 2, .grid = 3, .cathode = 0});
  auto run = ExactCircuit<D>{
      .nodes = 4,
      .sources = {{1, 0, D(100)}},
      .sines = {{3, 0, {.amplitude = amplitude, .frequency = frequency, .phase = D(0), .offset = offset}}},
      .resistors = {{1, 2, D(1e3)}},
      .tubes = {
          tube}}.start();
  EventLog<D> log;
  REQUIRE(run.run_until(D(0.01), log) == Status::done);
  const auto fired = log.times("ideal tube", "conducting");
  REQUIRE(fired.size() == 1);
  const double w = 100 * std::numbers::pi, s = 0.7, slope = w * std::sqrt(1 - s * s);
  CHECK(relative_gap(value_of(fired[0]), std::asin(s) / w) < 1e-14);
  CHECK(relative_gap(fired[0].partials()[0], -s / (10 * slope)) < 1e-12);
  CHECK(relative_gap(fired[0].partials()[1], -1 / (10 * slope)) < 1e-12);
  CHECK(relative_gap(fired[0].partials()[2], -std::asin(s) / w / 50) < 1e-12);
}
