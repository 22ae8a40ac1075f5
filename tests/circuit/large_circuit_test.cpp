// SPDX-License-Identifier: MIT
// Circuits whose size is known at run time: the same as those of fixed size, and as exact where they are large.
#include <gastube/tube/family/ideal.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/quiet_system.hpp"
#include "support_for_tests/tube_ring.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <string>

using namespace gastube;
using closeness::relative_gap;

namespace {

/// A chain of `n` capacitors to ground with resistors between them, the first one's to ground, charged along its own
/// mode number `mode` (1 is the slowest).
struct Chain {
  static constexpr double ohms = 1e3, farads = 1e-6;
  std::size_t n, mode;

  [[nodiscard]] double angle() const { return (2 * double(mode) - 1) * std::numbers::pi / (2 * double(n) + 1); }
  /// V at node k from 1 to n, before it decays.
  [[nodiscard]] double shape(std::size_t k) const { return std::sin(double(k) * angle()); }
  /// 1/s. Closed form: v(k-1) - 2 v(k) + v(k+1) = -4 sin^2(angle/2) v(k) for this shape, and v(n+1) = v(n).
  [[nodiscard]] double rate() const { return 4 * std::pow(std::sin(angle() / 2), 2) / (ohms * farads); }

  [[nodiscard]] auto circuit() const {
    std::vector<Resistor<double>> resistors;
    std::vector<Capacitor<double>> capacitors;
    for (std::size_t k = 1; k <= n; ++k) {
      resistors.emplace_back(Node(k) - 1, Node(k), ohms);
      capacitors.emplace_back(Node(k), ground_node, farads, shape(k));
    }
    return wire_dynamic(n + 1, resistors, capacitors);
  }
};

}  // namespace

TEST_CASE("a chain of nodes decays along one of its modes as the closed form says") {
  for (const Chain chain : {Chain{100, 1}, Chain{100, 80}, Chain{1000, 120}}) {
    CAPTURE(chain.n);
    CAPTURE(chain.mode);
    auto run = start(chain.circuit(), {.relative = 1e-7, .absolute = 1e-8});
    REQUIRE(run.run_until(0.7 / chain.rate()) == Status::done);
    double worst = 0;
    for (std::size_t k = 1; k <= chain.n; ++k)
      worst = std::max(worst, std::fabs(voltage(run, Node(k)) - chain.shape(k) * std::exp(-0.7)));
    CHECK(worst < 4e-6);  // some 40 steps, each allowed 1e-7
  }
}

TEST_CASE("three tubes sized at run time equal three of fixed size to round-off") {
  EventLog<double> fixed_log, log;
  auto fixed = start(tube_ring::circuit_of_three(), Beginning::settled);
  auto run = start(tube_ring::circuit(3), Beginning::settled);
  REQUIRE(fixed.run_until(3e-3, fixed_log) == Status::done);
  REQUIRE(run.run_until(3e-3, log) == Status::done);
  CHECK(log.events.size() == 6);
  REQUIRE(log.events.size() == fixed_log.events.size());
  CHECK(run.steps() == fixed.steps());
  for (std::size_t k = 0; k < log.events.size(); ++k) {
    CHECK(std::string(log.events[k].change.why) == fixed_log.events[k].change.why);
    CHECK(relative_gap(log.events[k].time, fixed_log.events[k].time) < 1e-12);
  }
  for (Node node = 1; node < 5; ++node)
    CHECK(std::fabs(voltage(run, node) - voltage(fixed, node)) < 1e-9 * (1 + std::fabs(voltage(fixed, node))));
}

TEST_CASE("a ring of 50 tubes counts pulses, at the times of a small ring") {
  EventLog<double> small_log, log;
  auto small = start(tube_ring::circuit(8), Beginning::settled);
  auto run = start(tube_ring::circuit(50), Beginning::settled);
  CHECK(tube_ring::burning(run) == 0);
  for (std::size_t pulse = 1; pulse <= 3; ++pulse) {
    REQUIRE(run.run_until(1e-3 * double(pulse), log) == Status::done);
    CHECK(tube_ring::burning(run) == pulse);
  }
  REQUIRE(small.run_until(3e-3, small_log) == Status::done);
  REQUIRE(log.events.size() == 6);
  REQUIRE(small_log.events.size() == 6);
  for (std::size_t k = 0; k < log.events.size(); ++k) {
    CHECK(std::string(log.events[k].change.to) == (k % 2 == 0 ? "lit" : "blocked"));
    CHECK(std::fabs(log.events[k].time - small_log.events[k].time) < 1e-9);
  }
}

TEST_CASE("a run sized at run time, resumed from a saved state, equals the run that went on, bit for bit") {
  // Without arc resistance a tube's equation has another pivot while it is lit: what was saved early must not depend on
  // what was learnt later.
  const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = 15, .sustaining_current = 1e-3}.build(
      FixedDeionisation<double>{1e-4});
  enum { ground, supply, plate_1, plate_2, grid_1, grid_2, node_count };
  auto run = start(wire_dynamic(
      node_count, DcSource<double>{supply, ground, 150},
      std::vector{Resistor<double>{supply, plate_1, 2e3}, Resistor<double>{supply, plate_2, 2e3}},
      Capacitor<double>{plate_1, plate_2, 0.22e-6},
      std::vector{
          PulseSource<double>{grid_1, ground, {.low = -10, .high = 0, .delay = 1e-3, .width = 1e-5, .period = 4e-3}},
          PulseSource<double>{grid_2, ground, {.low = -10, .high = 0, .delay = 3e-3, .width = 1e-5, .period = 4e-3}}},
      std::vector{wired(tube, {.plate = plate_1, .grid = grid_1, .cathode = ground}),
                  wired(tube, {.plate = plate_2, .grid = grid_2, .cathode = ground})}));
  for (const double saved_at : {0.5e-3, 1.5e-3, 3.2e-3}) {
    CAPTURE(saved_at);
    if (run.time() < saved_at) REQUIRE(run.run_until(saved_at) == Status::done);
    const auto saved = run.save();
    REQUIRE(run.run_until(saved_at + 6e-3) == Status::done);
    const auto went_on = run.state();
    run.restore(saved);
    REQUIRE(run.run_until(saved_at + 6e-3) == Status::done);
    CHECK(same_elements(run.state().at.x, went_on.at.x));
    CHECK(same_elements(run.state().at.y, went_on.at.y));
    CHECK(same_bits(run.state().step, went_on.step));
    run.restore(saved);
  }
}

TEST_CASE("nominal sizes and slow unknowns are those of the part that owns the unknown") {
  using Circuit = decltype(tube_ring::circuit(3));
  const Circuit ring = tube_ring::circuit(3);
  REQUIRE(ring.unknowns() == 5);
  CHECK(ring.nominal(0) == 1.0);
  CHECK(ring.nominal(3) == 1.0);
  CHECK(ring.nominal(4) == 1e-3);  // current of the pulse source
  CHECK_FALSE(ring.slow(4));
}
