// SPDX-License-Identifier: MIT
// Closed forms of small circuits, worked for this library.
#include <gastube/circuit/filament_lamp.hpp>
#include <gastube/stepping/exact/exact.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/exact_circuit.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <cstring>
#include <numbers>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;
using Parts = ExactCircuit<double>;

namespace {

/// Firing times of the flasher: the plate rises from one voltage and meets the strike voltage, which rises as well.
class FlasherByHand {
 public:
  [[nodiscard]] long double next() {
    time_ += charge();
    const long double fired = time_;
    time_ += discharge();
    from_ = extinction;
    ions_ = 0.97L;
    return fired;
  }

 private:
  static constexpr long double supply = 250, rc = 1e-3L, full = 100, extinction = 16 + 50 * 5e-3L,
                               floor = extinction + 1;

  [[nodiscard]] long double charge() {
    long double t = rc * std::log((supply - from_) / (supply - full));
    for (int k = 0; k < 50; ++k) {
      struck_ = floor + (1 - (1 - 1e-6L) * ions_ * std::exp(-t / 30e-6L)) * (full - floor);
      t = rc * std::log((supply - from_) / (supply - struck_));
    }
    return t;
  }
  [[nodiscard]] long double discharge() const {
    const long double rest = (supply * 50 + 16 * 1e5L) / (1e5L + 50), tau = 10e-9L * 50 * 1e5L / (1e5L + 50);
    return tau * std::log((struck_ - rest) / (extinction - rest));
  }

  long double time_ = 0, from_ = 0, ions_ = 0, struck_ = 0;
};

/// 20 V per V of grid, 15 V of drop, 1 mA.
[[nodiscard]] auto tube_at(Node plate, Node grid, Node cathode, double recovery = 1e-6) {
  const IdealTube<double> type{.control_ratio = 20, .arc_drop = 15, .sustaining_current = 1e-3};
  return wired(type.build(ExponentialRecovery<double>{recovery}), {.plate = plate, .grid = grid, .cathode = cathode});
}
/// 100 V on the plate through so much that no arc can be fed, and a sine on the grid: critical at -5 V.
[[nodiscard]] Parts unfed(const SineSource<double>::Wave& grid_wave) {
  return {.nodes = 4,
          .sources = {{1, 0, 100.0}},
          .sines = {{3, 0, grid_wave}},
          .resistors = {{1, 2, 1e9}},
          .tubes = {tube_at(2, 3, 0)}};
}

template <class State>
[[nodiscard]] bool same_bits(const State& a, const State& b) {
  const auto same = [](const auto& x, const auto& y) {
    return x.size() == y.size() && std::memcmp(x.data(), y.data(), x.size() * sizeof(double)) == 0;
  };
  return a.at.time == b.at.time && same(a.at.x, b.at.x) && same(a.at.y, b.at.y);
}

}  // namespace

TEST_CASE("a flasher keeps its closed form to a picosecond over a second") {
  auto run = Flasher<double>{}.circuit().start();
  EventLog<double> log;
  REQUIRE(run.run_until(1.0, log) == Status::done);
  const auto fired = log.times("ideal tube", "conducting");
  REQUIRE(fired.size() == 2237);
  FlasherByHand by_hand;
  double worst = 0;
  for (const double time : fired)
    worst = std::max(worst, double(std::fabs(static_cast<long double>(time) - by_hand.next())));
  CHECK(worst < 1e-12);
  CHECK(run.located() <= 4);  // patterns worked out
}

TEST_CASE("a circuit on the edge of ringing follows its powers of time") {
  // 1 kohm, 0.25 H, 1 uF: both rates 2000 / s
  auto run = Parts{.nodes = 4,
                   .sources = {{1, 0, 10.0}},
                   .resistors = {{1, 2, 1e3}},
                   .capacitors = {{3, 0, 1e-6}},
                   .inductors = {{2, 3, 0.25}}}
                 .start();
  for (const double t : {1e-6, 1e-4, 1e-3, 3e-3, 0.01}) {
    REQUIRE(run.run_until(t) == Status::done);
    const double a = 2000 * t;
    CHECK(absolute_gap(voltage(run, 3), 10 * (1 - (1 + a) * std::exp(-a))) < 1e-13);
  }
}

TEST_CASE("charges are shared at once where a contact joins them, and conserved") {
  auto run = Parts{.nodes = 4,
                   .sources = {{1, 0, 30.0}},
                   .resistors = {{3, 0, 1e12}},
                   .capacitors = {{1, 0, 1e-3, 30.0}, {2, 0, 1e-6, 12.0}, {3, 0, 2e-6, -3.0}, {1, 3, 4e-6, 33.0}},
                   .contacts = {{2, 3, false, 0.0}}}
                 .start();
  CHECK(absolute_gap(voltage(run, 1), 30.0) < 1e-13);
  CHECK(absolute_gap(voltage(run, 3), -3.0) < 1e-13);
  REQUIRE(succeeded(set_contact(run, 0, true)));
  const double shared = (1e-6 * 12 - 6e-6 * 3) / 7e-6;  // node 3 holds 2 uF to ground and 4 uF to 30 V
  CHECK(absolute_gap(voltage(run, 2), shared) < 1e-13);
  CHECK(absolute_gap(voltage(run, 3), shared) < 1e-13);
  REQUIRE(run.run_until(1e-3) == Status::done);
  CHECK(absolute_gap(voltage(run, 3), shared) < 1e-8);
}

TEST_CASE("a tube that fires puts the other out through the capacitor between them") {
  // 150 V, 2 kohm each, 0.22 uF: driven from 15 V to -120 V and back towards 150 V with RC
  enum { ground, supply, plate_1, plate_2, grid_1, grid_2, node_count };
  auto run = Parts{.nodes = node_count,
                   .sources = {{supply, ground, 150.0}},
                   .pulses = {{grid_1, ground, {.low = -10, .high = 0, .delay = 1e-3, .width = 1e-5}},
                              {grid_2, ground, {.low = -10, .high = 0, .delay = 11e-3, .width = 1e-5}}},
                   .resistors = {{supply, plate_1, 2e3}, {supply, plate_2, 2e3}},
                   .capacitors = {{plate_1, plate_2, 0.22e-6}},
                   .tubes = {tube_at(plate_1, grid_1, ground, 50e-6), tube_at(plate_2, grid_2, ground, 50e-6)}}
                 .start();
  REQUIRE(run.run_until(11e-3) == Status::done);
  CHECK(absolute_gap(voltage(run, plate_2), 15.0) < 1e-12);
  const double held = 150 - 135 * std::exp(-10e-3 / 0.44e-3);  // what plate 2 had come back to
  CHECK(absolute_gap(voltage(run, plate_1), 15 - (held - 15)) < 1e-9);
  for (const double t : {1e-4, 2.5862613e-4, 1e-3}) {
    REQUIRE(run.run_until(11e-3 + t) == Status::done);
    CHECK(absolute_gap(voltage(run, plate_1), 150 - (120 + held) * std::exp(-t / 0.44e-3)) < 1e-9);
  }
}

TEST_CASE("an RC network behind a sine and behind a ramp") {
  const double w = 2 * std::numbers::pi * 50, rc = 1e-3, gain = 1 / std::sqrt(1 + w * w * rc * rc);
  auto run = Parts{.nodes = 5,
                   .pulses = {{3, 0, {.low = 0, .high = 20, .delay = 1e-3, .width = 1, .rise = 10e-3}}},
                   .sines = {{1, 0, {.amplitude = 10, .frequency = 50, .phase = 0.3}}},
                   .resistors = {{1, 2, 1e3}, {3, 4, 1e3}},
                   .capacitors = {{2, 0, 1e-6}, {4, 0, 1e-6}}}
                 .start();
  const double lag = std::atan(w * rc), start = -10 * gain * std::sin(0.3 - lag);
  for (const double t : {1e-5, 4e-3, 9e-3, 0.11, 3.0}) {
    REQUIRE(run.run_until(t) == Status::done);
    CHECK(absolute_gap(voltage(run, 2), 10 * gain * std::sin(w * t + 0.3 - lag) + start * std::exp(-t / rc)) < 1e-12);
    const double s = t - 1e-3;
    if (s > 0 && s < 10e-3) CHECK(absolute_gap(voltage(run, 4), 2000 * (s - rc * (1 - std::exp(-s / rc)))) < 1e-12);
  }
}

TEST_CASE("both crossings of a crest within one long stretch are found") {
  // the grid is above -5 V for a thousandth of a period about each crest
  const double half = std::numbers::pi * 1e-3, w = 2 * std::numbers::pi * 100;
  auto run = unfed({.amplitude = 10, .frequency = 100, .phase = 0, .offset = -5 - 10 * std::cos(half)}).start();
  EventLog<double> log;
  REQUIRE(run.run_until(0.1, log) == Status::done);
  const auto up = log.times("ideal tube", "striking"), down = log.times("ideal tube", "recovering");
  REQUIRE(up.size() == 10);
  REQUIRE(down.size() == 10);
  for (std::size_t k = 0; k < up.size(); ++k) {
    const double crest = 2.5e-3 + 1e-2 * double(k);
    CHECK(absolute_gap(up[k], crest - half / w) < 1e-15);
    // given up a millivolt below, at the grid and, for a control ratio of 20, at the plate
    CHECK(absolute_gap(down[k], crest + std::acos(std::cos(half) - 1.05e-4) / w) < 1e-12);
  }
}

TEST_CASE("a crest that misses by a nanovolt fires nothing, one that reaches by as much does") {
  for (const double beyond : {-1e-9, 1e-9}) {
    auto run = unfed({.amplitude = 10, .frequency = 60, .phase = 0.4, .offset = -15 + beyond}).start();
    EventLog<double> log;
    REQUIRE(run.run_until(1.0, log) == Status::done);
    CHECK(log.count("ideal tube", "striking") == (beyond > 0 ? 60 : 0));
  }
}

TEST_CASE("a pulse of 10 ns in a half-cycle of 10 ms fires") {
  auto run = Parts{.nodes = 4,
                   .pulses = {{3, 0, {.low = -30, .high = 0, .delay = 4e-3, .width = 10e-9}}},
                   .sines = {{1, 0, {.amplitude = 300, .frequency = 50}}},
                   .resistors = {{1, 2, 1e3}},
                   .tubes = {tube_at(2, 3, 0)}}
                 .start();
  EventLog<double> log;
  REQUIRE(run.run_until(20e-3, log) == Status::done);
  const auto lit = log.times("ideal tube", "conducting"), out = log.times("ideal tube", "recovering");
  REQUIRE(lit.size() == 1);
  REQUIRE(out.size() == 1);
  CHECK(lit[0] == 4e-3);
  // until the current has fallen to 1 mA: 300 sin(w t) = 15 + 1
  CHECK(absolute_gap(out[0], 10e-3 - std::asin(16.0 / 300) / (100 * std::numbers::pi)) < 1e-15);
}

TEST_CASE("a changed part acts from then on, and a change that cannot be solved leaves all as it was") {
  auto run = Parts{.nodes = 3,
                   .sources = {{1, 0, 10.0}},
                   .resistors = {{1, 2, 1e3}},
                   .capacitors = {{2, 0, 1e-6}},
                   .contacts = {{1, 0, false, 0.0}}}
                 .start();
  REQUIRE(run.run_until(1e-3) == Status::done);
  const double before = 10 * (1 - std::exp(-1.0));
  REQUIRE(succeeded(run.alter([](auto& circuit, auto&) { circuit.template entry<3>()[0].resistance = 2e3; })));
  REQUIRE(run.run_until(2e-3) == Status::done);
  const double expected = 10 - (10 - before) * std::exp(-0.5);
  CHECK(absolute_gap(voltage(run, 2), expected) < 1e-13);
  CHECK(set_contact(run, 0, true) == Status::unsolvable);  // across an ideal source
  CHECK(absolute_gap(voltage(run, 2), expected) < 1e-13);
  REQUIRE(run.run_until(4e-3) == Status::done);
  CHECK(absolute_gap(voltage(run, 2), 10 - (10 - before) * std::exp(-1.5)) < 1e-13);
}

TEST_CASE("a run goes on from a saved state and in a copy to the last bit") {
  auto run = Flasher<double>{}.circuit().start();
  REQUIRE(run.run_until(1.7e-3) == Status::done);
  const auto saved = run.save();
  auto copy = run;
  auto assigned = Flasher<double>{.volts = 240}.circuit().start();
  assigned = run;
  REQUIRE(run.run_until(9.3e-3) == Status::done);
  const auto end = run.save();
  REQUIRE(copy.run_until(9.3e-3) == Status::done);
  CHECK(same_bits(copy.save(), end));
  REQUIRE(assigned.run_until(9.3e-3) == Status::done);
  CHECK(same_bits(assigned.save(), end));
  run.restore(saved);
  CHECK(same_bits(run.save(), saved));
  REQUIRE(run.run_until(9.3e-3) == Status::done);
  CHECK(same_bits(run.save(), end));
}

TEST_CASE("next_event stops right after each event and at the limit; longest_step bounds every step") {
  auto run = Flasher<double>{}.circuit().start(Settings<double>{.longest_step = 50e-6});
  struct Steps {
    double last = 0, longest = 0;
    void step(const decltype(run)& now) {
      longest = std::max(longest, now.time() - last);
      last = now.time();
    }
  } steps;
  REQUIRE(run.next_event(0.01, steps) == Status::event);
  CHECK(tube_state(run, "ideal tube") == TubeState::conducting);
  CHECK(absolute_gap(run.time(), double(FlasherByHand{}.next())) < 1e-15);
  REQUIRE(run.next_event(0.01, steps) == Status::event);
  CHECK(tube_state(run, "ideal tube") == TubeState::recovering);
  CHECK(relative_gap(voltage(run, Flasher<double>::plate), 16.25) < 1e-13);
  REQUIRE(run.next_event(run.time() + 10e-6, steps) == Status::done);
  CHECK(steps.longest <= 50e-6 * (1 + 1e-12));
  CHECK(steps.longest > 40e-6);
}

TEST_CASE("weeks after the start a circuit keeps its intervals though the clock shows half a nanosecond at best") {
  Flasher<double> late;
  auto circuit = late.circuit();
  circuit.sources.erase(circuit.sources.begin());
  circuit.pulses = {{Flasher<double>::supply, 0, {.low = 0, .high = 250, .delay = 3e6, .width = 1.0}}};
  auto run = circuit.start();
  EventLog<double> log;
  REQUIRE(run.run_until(3e6 + 0.1, log) == Status::done);
  const auto fired = log.times("ideal tube", "conducting");
  REQUIRE(fired.size() > 200);
  FlasherByHand by_hand;
  double worst = 0;
  for (const double time : fired) worst = std::max(worst, std::fabs((time - 3e6) - double(by_hand.next())));
  CHECK(worst < 5e-10);
}

TEST_CASE("a circuit without a single solution is told at the start") {
  const auto status = [](const Parts& parts) {
    auto run = parts.start_unchecked();
    CHECK(run.run_until(1.0) == run.start_status());
    return run.start_status();
  };
  CHECK(status({.nodes = 2, .sources = {{1, 0, 10.0}, {1, 0, 12.0}}}) == Status::unsolvable);
  CHECK(status({.nodes = 3, .sources = {{1, 0, 10.0}}, .contacts = {{1, 2, false, 0.0}}}) == Status::unsolvable);
}

TEST_CASE("a run may start as if switched on for long") {
  auto run = Parts{.nodes = 4,
                   .sources = {{1, 0, 10.0}},
                   .resistors = {{1, 2, 1e3}, {2, 3, 4e3}},
                   .capacitors = {{2, 0, 1e-6}},
                   .inductors = {{3, 0, 0.5}}}
                 .start({}, Beginning::settled);
  CHECK(absolute_gap(voltage(run, 2), 8.0) < 1e-13);
  REQUIRE(run.run_until(1.0) == Status::done);
  CHECK(absolute_gap(voltage(run, 2), 8.0) < 1e-13);
  CHECK(absolute_gap(own_unknown(run, 4), 2e-3) < 1e-15);
}

TEST_CASE("circuits of ideal parts are piecewise linear, and start chooses by that and by their size") {
  using Fixed = decltype(wire<3>(DcSource{1, 0, 5.0}, Resistor{1, 2, 1.0}, tube_at(2, 1, 0)));
  static_assert(PiecewiseLinearSystem<Fixed>);
  static_assert(std::same_as<decltype(start(std::declval<Fixed>())), ExactStepper<Fixed>>);
  static_assert(std::same_as<decltype(start<TrBdf2>(std::declval<Fixed>())), Stepper<Fixed, TrBdf2>>);
  using Dynamic = decltype(wire_dynamic(3, DcSource{1, 0, 5.0}, Resistor{1, 2, 1.0}, Resistor{2, 0, 1.0}));
  static_assert(PiecewiseLinearSystem<Dynamic>);
  static_assert(std::same_as<decltype(start(std::declval<Dynamic>())), Stepper<Dynamic, TrBdf2>>);
  using Curved =
      decltype(wire<3>(DcSource{1, 0, 5.0}, FilamentLamp{1, 2, FilamentRating<double>{5, 0.1}}, tube_at(2, 1, 0)));
  static_assert(std::same_as<decltype(start(std::declval<Curved>())), Stepper<Curved, Rodas5P>>);
}
