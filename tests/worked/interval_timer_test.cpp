// SPDX-License-Identifier: MIT
// Interval timer with a trigger tube: 180 V through 2.2 Mohm charge 1 uF, the trigger fires at 125 V. Circuit type:
// Neale, Cold Cathode Tube Circuit Design, contents, "Interval timer"; closed forms and numbers worked for this
// library.
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/tube/family/trigger_tube.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/shared_run.hpp"
#include "support_for_tests/tight.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <string>
#include <vector>

using namespace gastube;
using closeness::relative_gap;

namespace {

using Tube = TriggerTube<StandardTriggerLaws<double>>;

[[nodiscard]] Tube tube() {
  return Tube({.ignition = transfer_through(300.0, 105.0, 35e-6, 170.0),
               .grid = {.ignition = 125, .drop = 100, .resistance = 5e3, .least_current = 5e-6},
               .delay = {20e-6},
               .arc = {104.5, 25},
               .sustaining = {2e-3},
               .recovery = {0.3e-3, 20e-3},
               .electrons = {0.0}},
              "tube");
}

/// A leak that takes a constant current. A part of this test's own.
struct Leak {
  using Scalar = double;
  Node from, to;
  double amperes;
  const char* label = "leak";
  [[nodiscard]] std::array<Node, 2> terminals() const { return {from, to}; }
  void write(PartEquations<double>& eq, const NoMemory&) const { eq.current(from, to, amperes); }
};

struct Timer {
  double volts = 180, left_over = 0, leak = 0;

  /// s until the trigger strikes; the tube's own 3 pF are part of the microfarad.
  [[nodiscard]] double time() const {
    enum { ground, supply, anode_supply, anode, trigger, node_count };
    auto run =
        shared_start(wire<node_count>(DcSource{supply, ground, volts}, DcSource{anode_supply, ground, 250.0},
                                      Resistor{anode_supply, anode, 7.25e3}, Resistor{supply, trigger, 2.2e6},
                                      Capacitor{trigger, ground, 1e-6 - 3e-12, left_over}, Leak{trigger, ground, leak},
                                      wired(tube(), {.anode = anode, .trigger = trigger, .cathode = ground})),
                     tight<double>());
    EventLog<double> log;
    while (log.count("tube", "trigger glow") == 0) REQUIRE(succeeded(run.next_event(10.0, log)));
    return log.times("tube", "trigger glow")[0];
  }
};

}  // namespace

TEST_CASE("2.608 s from an empty capacitor, 1.716 s from one with 60 V left") {
  CHECK(relative_gap(Timer{}.time(), 2.60837206) < 1e-6);
  CHECK(relative_gap(Timer{.left_over = 60}.time(), 1.71635) < 1e-5);
}

TEST_CASE("a leak of 2 uA makes it 2.737 s, and one of 24 uA makes it 8.978 s") {
  CHECK(relative_gap(Timer{.leak = 2e-6}.time(), 2.73736563) < 1e-6);
  const double target = 180 - 24e-6 * 2.2e6;  // 127.2 V, just above the 125 V wanted
  CHECK(relative_gap(Timer{.leak = 24e-6}.time(), 2.2 * std::log(target / (target - 125))) < 1e-6);
}

TEST_CASE("one per cent more supply makes it 1.9 per cent shorter") {
  const double step = 1e-4, longer = Timer{.volts = 180 * (1 - step)}.time(),
               shorter = Timer{.volts = 180 * (1 + step)}.time();
  const double sensitivity = (std::log(shorter) - std::log(longer)) / (std::log1p(step) - std::log1p(-step));
  CHECK(relative_gap(sensitivity, -1.9169) < 1e-3);
}

TEST_CASE("trigger tubes light one another after RC ln(V / (V - Vt)) each, V being the voltage of a lit load") {
  // Common practice, no source; closed form worked here. 7.25 kohm at each cathode, 250 V, 105 V at 20 mA.
  enum { ground, supply, button, first_free };
  constexpr int tubes = 3;
  std::vector<WiredTube<Tube>> chain;
  std::vector<Resistor<double>> resistors;
  std::vector<Capacitor<double>> capacitors;
  const std::string names[tubes] = {"first", "second", "third"};
  for (int k = 0; k < tubes; ++k) {
    const Node cathode = first_free + 2 * k, trigger = cathode + 1;
    chain.push_back(named(names[k].c_str(), wired(tube(), {.anode = supply, .trigger = trigger, .cathode = cathode})));
    resistors.push_back({cathode, ground, 7.25e3});
    resistors.push_back({k == 0 ? Node(button) : cathode - 2, trigger, k == 0 ? 10e3 : 1e6});
    if (k > 0) capacitors.push_back({trigger, ground, 0.1e-6 - 3e-12});
  }
  auto run = shared_start(
      wire_dynamic(first_free + 2 * tubes, DcSource{supply, ground, 250.0},
                   PulseSource<double>{button, ground, {.low = 0, .high = 200, .delay = 1e-2, .width = 1e-2}}, chain,
                   resistors, capacitors),
      Settings<double>{.relative = 1e-6, .absolute = 1e-6});
  EventLog<double> log;
  REQUIRE(run.run_until(0.5, log) == Status::done);
  const double lit = (250 - 104.5) * 7250 / 7275, step = 1e6 * 0.1e-6 * std::log(lit / (lit - 125));
  REQUIRE(log.count("third", "conducting") == 1);
  const double first = log.times("first", "conducting")[0], second = log.times("second", "trigger glow")[0];
  // within the microseconds that the plate takes to fall, the anode current comes up
  CHECK(relative_gap(second - first, step) < 1e-4);
  CHECK(relative_gap(log.times("third", "trigger glow")[0] - log.times("second", "conducting")[0], step) < 1e-4);
}
