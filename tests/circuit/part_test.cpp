// SPDX-License-Identifier: MIT
// Parts of our own, written here without any help from the library's parts, and what a part sees and writes.
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/inductor.hpp>
#include <gastube/circuit/part.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/shared_run.hpp"
#include "support_for_tests/tight.hpp"

#include <doctest/doctest.h>

using namespace gastube;
using closeness::relative_gap;

namespace {

/// Resistor whose current grows with the square of the voltage: as small a part as can be.
template <Real S>
struct SquareLaw {
  using Scalar = S;
  Node a, b;
  S strength;  ///< A/V^2
  const char* label = "square law";

  [[nodiscard]] std::array<Node, 2> terminals() const { return {a, b}; }
  void write(PartEquations<S>& eq, const NoMemory&) const {
    const S v = eq.across(a, b);
    eq.conduct(a, b, S(strength * v * math::abs(v)), S(S(2) * strength * math::abs(v)));
  }
};

/// Opens for good at its rated current: a part with an own unknown, states, a guard and a follower.
struct CutOut {
  using Scalar = double;
  static constexpr std::size_t own_unknowns = 1, followers = 1, guards = 1;
  struct Memory {
    bool open = false;
  };
  Node a, b;
  double rated;  ///< A
  const char* label = "cut-out";

  [[nodiscard]] std::array<Node, 2> terminals() const { return {a, b}; }
  [[nodiscard]] double nominal(std::size_t) const { return 1e-3; }
  void write(PartEquations<double>& eq, const Memory& memory) const {
    eq.branch(a, b, 0);
    if (memory.open) {
      eq.own_flow(0, eq.own(0));
      eq.own_flow_by_own(0, 0, 1.0);
    } else {
      eq.own_voltage(0, a, b);
    }
  }
  void follow(const PartView<double>& at, const Memory&, FollowRate<double>* rates) const {
    rates[0].source = at.own(0);
  }
  [[nodiscard]] double guard(std::size_t, const PartView<double>& at, const Memory& memory) const {
    return memory.open ? 1.0 : 1.0 - at.own(0) / rated;
  }
  Change fire(std::size_t, const PartView<double>&, Memory& memory, double*) const {
    memory.open = true;
    return {label, "whole", "open", "rated current"};
  }
  [[nodiscard]] double current(const PartView<double>& at, const Memory&) const { return at.own(0); }
};

static_assert(CircuitPart<SquareLaw<float>> && CircuitPart<CutOut>);
static_assert(!CircuitPart<int> && !CircuitPart<NoMemory>);
static_assert(detail::own_unknowns_of<SquareLaw<double>> == 0 && detail::own_unknowns_of<CutOut> == 1);
static_assert(detail::followers_of<SquareLaw<double>> == 0 && detail::followers_of<CutOut> == 1);
static_assert(detail::guards_of<SquareLaw<double>> == 0 && detail::guards_of<CutOut> == 1);
static_assert(std::same_as<detail::MemoryOf<SquareLaw<double>>::type, NoMemory>);
static_assert(std::same_as<detail::MemoryOf<CutOut>::type, CutOut::Memory>);
static_assert(!detail::has_port<CutOut>);

/// Room for what a part writes at chosen values: nodes 1 and 2, own unknown in row 2.
struct Sheet {
  std::array<double, 3> x{7, 3, 0.25}, base{6, 5, 0.125};
  std::array<double, 1> y{0.75};
  std::array<double, 3> charges{}, currents{};
  std::array<double, 9> slopes{};
  Equations<double> equations;
  PartEquations<double> eq;

  explicit Sheet(double alpha)
      : equations(3, x.data(), base.data(), alpha, charges.data(), currents.data(), slopes.data())
      , eq({2.5, x.data(), y.data()}, {2, 0}, equations) {}
  [[nodiscard]] double slope(std::size_t row, std::size_t column) const { return slopes[row * 3 + column]; }
};

}  // namespace

TEST_CASE("a part sees time, voltages against ground and across, its own unknowns and followers") {
  const Sheet sheet(1);
  CHECK(sheet.eq.time() == 2.5);
  CHECK(sheet.eq.voltage(ground_node) == 0.0);
  CHECK(sheet.eq.voltage(1) == 7.0);
  CHECK(sheet.eq.across(1, 2) == 4.0);
  CHECK(sheet.eq.across(ground_node, 2) == -3.0);
  CHECK(sheet.eq.own(0) == 0.25);
  CHECK(sheet.eq.follower(0) == 0.75);
}

TEST_CASE("a conducted current leaves one node and enters the other, with its slopes weighted by alpha") {
  Sheet sheet(0.5);
  sheet.eq.conduct(1, 2, 0.125, 4.0);
  CHECK(sheet.currents == std::array<double, 3>{0.125, -0.125, 0});
  CHECK(sheet.slope(0, 0) == 2.0);
  CHECK(sheet.slope(0, 1) == -2.0);
  CHECK(sheet.slope(1, 0) == -2.0);
  CHECK(sheet.slope(1, 1) == 2.0);
}

TEST_CASE("a current to ground is written at its one node") {
  Sheet sheet(1);
  sheet.eq.conduct(ground_node, 2, 0.125, 4.0);
  CHECK(sheet.currents == std::array<double, 3>{0, -0.125, 0});
  CHECK(sheet.slope(1, 1) == 4.0);
  CHECK(sheet.slope(0, 0) == 0.0);
}

TEST_CASE("a branch carries the own unknown from node to node") {
  Sheet sheet(0.5);
  sheet.eq.branch(2, 1, 0);
  CHECK(sheet.currents == std::array<double, 3>{-0.25, 0.25, 0});
  CHECK(sheet.slope(1, 2) == 0.5);
  CHECK(sheet.slope(0, 2) == -0.5);
}

TEST_CASE("a capacitance stores the charge that its voltage has gained since the step began") {
  Sheet sheet(0.5);
  sheet.eq.capacitance(1, 2, 2.0);
  CHECK(sheet.charges == std::array<double, 3>{6, -6, 0});  // 2 F times ((7 - 3) - (6 - 5)) V
  CHECK(sheet.slope(0, 0) == 2.0);                          // not weighted: it is no current
  CHECK(sheet.slope(0, 1) == -2.0);
  CHECK(sheet.slope(1, 0) == -2.0);
  CHECK(sheet.slope(1, 1) == 2.0);
}

TEST_CASE("an own equation takes voltages, flows and stores") {
  Sheet sheet(0.5);
  sheet.eq.own_voltage(0, 1, 2);
  sheet.eq.own_flow(0, 10.0);
  sheet.eq.own_flow_by_own(0, 0, 6.0);
  sheet.eq.own_store(0, 3.0);
  CHECK(sheet.currents[2] == 14.0);
  CHECK(sheet.charges[2] == 0.375);
  CHECK(sheet.slope(2, 0) == 0.5);
  CHECK(sheet.slope(2, 1) == -0.5);
  CHECK(sheet.slope(2, 2) == 6.0);  // 0.5 * 6 + 3
}

TEST_CASE("tied nodes learn their voltages from ground outwards") {
  std::array<double, 3> x{};
  std::array<char, 4> known{1, 0, 0, 0};
  Starter<double> starter(x.data(), known.data());
  const auto round = [&] {
    starter.place({3, 0});
    starter.tie(2, 1, 5.0);
    starter.tie(1, ground_node, 2.0);
    return starter.next_round();
  };
  while (round()) CHECK_FALSE(starter.contradiction());
  CHECK(x == std::array<double, 3>{2, 7, 0});
  CHECK(known[3] == 0);  // nothing is known of node 3
}

TEST_CASE("tied nodes without a path to ground start with the first of them at zero") {
  std::array<double, 2> x{};
  std::array<char, 3> known{1, 0, 0};
  Starter<double> starter(x.data(), known.data());
  do {
    starter.place({2, 0});
    starter.tie(1, 2, 4.0);
  } while (starter.next_round());
  CHECK(x == std::array<double, 2>{0, -4});
}

TEST_CASE("a tie that gainsays what is known is a contradiction, one that repeats it is not") {
  std::array<double, 1> x{};
  std::array<char, 2> known{1, 0};
  Starter<double> starter(x.data(), known.data());
  starter.place({1, 0});
  starter.tie(1, ground_node, 5.0);
  CHECK_FALSE(starter.contradiction());
  starter.place({1, 0});
  starter.tie(ground_node, 1, -5.0);
  CHECK_FALSE(starter.contradiction());
  starter.place({1, 0});
  starter.tie(1, ground_node, 5.001);
  CHECK(starter.contradiction());
}

TEST_CASE("named() gives a part its name") {
  CHECK(std::string(named("bleeder", SquareLaw<double>{1, 0, 1e-6}).label) == "bleeder");
}

TEST_CASE_TEMPLATE("a part of one's own, a square-law resistor, discharges a capacitor as 1 / (1 + t)", S, float,
                   double, long double) {
  // closed form, worked for this library: C dv/dt = -k v^2 gives v = v0 / (1 + k v0 t / C)
  const S start_voltage = S(50), strength = S(2e-6), farads = S(1e-6), end = S(0.02);
  auto circuit = wire<2>(Capacitor<S>{1, 0, farads, start_voltage}, SquareLaw<S>{1, 0, strength});
  auto run = shared_start(circuit, tight<S>());
  REQUIRE(run.run_until(end) == Status::done);
  const S expected = start_voltage / (S(1) + strength * start_voltage * end / farads);
  CHECK(relative_gap(voltage(run, 1), expected) < tight_reach<S>);
}

TEST_CASE("a part of one's own with states fires at its guard and its follower counts the charge till then") {
  // closed form: through 10 mH at 5 V the current reaches 0.1 A at L I / E, when half of I t has flowed
  enum { ground, supply, coil, node_count };
  auto circuit = wire<node_count>(DcSource{supply, ground, 5.0}, Inductor{supply, coil, 10e-3},
                                  CutOut{coil, ground, 0.1}, Resistor{coil, ground, 1e3});
  auto run = shared_start(circuit, tight<double>());
  EventLog<double> log;
  REQUIRE(run.run_until(1e-3, log) == Status::done);
  REQUIRE(log.count("cut-out", "open") == 1);
  REQUIRE(log.events.size() == 1);
  CHECK(relative_gap(log.events[0].time, 10e-3 * 0.1 / 5.0) < 1e-9);
  CHECK(relative_gap(follower(run, run.system().find("cut-out")), 0.5 * 0.1 * 2e-4) < 1e-6);
  CHECK(current(run, "cut-out") == 0.0);
  // after it opens the coil's current goes on through the resistor and dies away to 5 V / 1 kohm within 10 us
  CHECK(relative_gap(own_unknown(run, run.system().find("inductor")), 5e-3) < 1e-6);
}
