// SPDX-License-Identifier: MIT
// A capacitor emptied through a tube, and a line of coils and capacitors that a choke charges. Closed forms and numbers
// worked for this library; those of the line from memory (G. N. Glasoe and J. V. Lebacqz, "Pulse Generators", 1948).
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/inductor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/tube/family/ideal.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/level_watch.hpp"
#include "support_for_tests/tight.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <vector>

using namespace gastube;
using closeness::relative_gap;

namespace {

const double fired = 1e-7;

/// 0.1 uF at 1 kV, emptied through a tube of 30 V, 2 uH and this resistance.
[[nodiscard]] auto discharge(double ohms) {
  enum { ground, plate, cathode, load, grid, node_count };
  const auto tube = IdealTube<double>{.control_ratio = 100, .arc_drop = 30}.build();
  return start(
      wire<node_count>(Capacitor{plate, ground, 0.1e-6, 1e3},
                       named("tube", wired(tube, {.plate = plate, .grid = grid, .cathode = cathode})),
                       Inductor{cathode, load, 2e-6}, Resistor{load, ground, ohms},
                       PulseSource<double>{grid, cathode, {.low = -20, .high = 0, .delay = fired, .width = 1e-8}}),
      tight<double>());
}
struct Crest {
  double ohms, after, amperes;
};

}  // namespace

TEST_CASE("1 kV, 0.1 uF and 2 uH give 159 A into 2 ohm, 79.8 A at critical damping, 43.2 A into 20 ohm") {
  for (const Crest& crest : {Crest{2, 6.17258e-7, 159.301856},
                             {2 * std::sqrt(2e-6 / 0.1e-6), 4.47214e-7, 79.7925335},
                             {20, 3.22807e-7, 43.1808}}) {
    CAPTURE(crest.ohms);
    auto run = discharge(crest.ohms);
    REQUIRE(run.run_until(fired + 0.98 * crest.after) == Status::done);
    const double before = current(run, "tube");
    REQUIRE(run.run_until(fired + crest.after) == Status::done);
    CHECK(relative_gap(current(run, "tube"), crest.amperes) < 2e-6);
    CHECK(before < crest.amperes);
    REQUIRE(run.run_until(fired + 1.02 * crest.after) == Status::done);
    CHECK(current(run, "tube") < crest.amperes);
  }
}

TEST_CASE("its current begins with 485 A/us, and into 2 ohm it ends after 1.441 us with -441.8 V left") {
  auto run = discharge(2);
  EventLog<double> log;
  REQUIRE(run.run_until(fired + 1e-12, log) == Status::done);
  CHECK(relative_gap(current(run, "tube") / 1e-12, 4.85e8) < 1e-5);
  REQUIRE(run.run_until(5e-6, log) == Status::done);
  REQUIRE(log.count("tube", "recovering") == 1);
  CHECK(relative_gap(log.times("tube", "recovering")[0] - fired, 1.44146e-6) < 3e-6);
  CHECK(relative_gap(voltage(run, 1), -441.804775) < 1e-8);
}

TEST_CASE("through 20 kohm from 1 kV it is back at the 100 V that the grid holds after 211 us, or 943 us") {
  enum { ground, supply, plate, grid, node_count };
  for (const auto& [left, expected] : {std::pair{0.0, 0.000210721}, {-441.804775, 0.000942512321}}) {
    const auto tube = IdealTube<double>{.control_ratio = 100, .arc_drop = 30}.build();
    auto run = start(wire<node_count>(DcSource{supply, ground, 1e3}, Resistor{supply, plate, 20e3},
                                      Capacitor{plate, ground, 0.1e-6, left}, DcSource{grid, ground, -1.0},
                                      named("tube", wired(tube, {.plate = plate, .grid = grid, .cathode = ground}))),
                     tight<double>());
    EventLog<double> log;
    while (log.count("tube", "conducting") == 0) REQUIRE(succeeded(run.next_event(1e-2, log)));
    CHECK(relative_gap(log.times("tube", "conducting")[0], expected) < (left < 0 ? 1e-8 : 3e-6));
    // As the tube is then not fit to hold, it stays lit: the resistor feeds it V0 / Rch, less its drop.
    REQUIRE(run.run_until(3e-3, log) == Status::done);
    CHECK(relative_gap(current(run, "tube"), (1e3 - 30) / 20e3) < 1e-6);
  }
}

TEST_CASE("a choke of 2 H charges 12.5 nF from 4 kV to twice as much, less what was left, in 0.497 ms") {
  enum { ground, supply, line, node_count };
  for (const double left : {0.0, -888.888889}) {
    CAPTURE(left);
    auto run =
        start(wire<node_count>(DcSource{supply, ground, 4e3}, named("choke", Inductor{supply, line, 2.0}),
                               Capacitor{line, ground, 12.5e-9, left}, LevelWatch<double>{line, ground, 200, "line"}),
              tight<double>());
    EventLog<double> log;
    REQUIRE(run.run_until(0.000496729413 / 2, log) == Status::done);
    CHECK(relative_gap(current(run, "choke"), (4e3 - left) * std::sqrt(12.5e-9 / 2)) < 1e-9);
    REQUIRE(run.run_until(0.000496729413, log) == Status::done);
    CHECK(relative_gap(voltage(run, line), 8e3 - left) < 1e-9);
    REQUIRE(log.count("line", "above") == 1);
    CHECK(relative_gap(log.times("line", "above")[0], left < 0 ? 0.000107592853 : 5.02107e-5) < 2e-6);
  }
}

namespace {

enum Ends : Node { ground, plate, load, grid, first_section };
struct Pulse {
  double middle;   ///< A, mean over the middle half of the closed form's length
  double residue;  ///< V, mean of the capacitors after it
};
/// A line of 50 ohm and 1.25 us, charged to 8 kV, into this load.
[[nodiscard]] Pulse pulse_of(int sections, double ohms) {
  const double length = 1.25e-6, coil = 0.5 * length * 50 / sections, farads = 0.5 * length / 50 / sections;
  std::vector<Inductor<double>> coils;
  std::vector<Capacitor<double>> capacitors;
  for (Node k = 0; k < sections; ++k) {
    coils.push_back({k == 0 ? Node(plate) : first_section + k - 1, first_section + k, coil});
    capacitors.push_back({first_section + k, load, farads, 8e3});
  }
  const auto tube = IdealTube<double>{.control_ratio = 1000, .arc_drop = 1e-3}.build();
  auto run =
      start(wire_dynamic(std::size_t(first_section + sections), coils, capacitors, Resistor{ground, load, ohms},
                         Capacitor{plate, ground, 1e-15, 8e3},
                         PulseSource<double>{grid, ground, {.low = -20, .high = 0, .delay = fired, .width = 1e-8}},
                         named("tube", wired(tube, {.plate = plate, .grid = grid, .cathode = ground}))));
  Pulse pulse{};
  const int samples = 50;
  for (int k = 0; k < samples; ++k) {
    REQUIRE(run.run_until(fired + length * (0.25 + 0.5 * (k + 0.5) / samples)) == Status::done);
    pulse.middle += current(run, "tube") / samples;
  }
  EventLog<double> log;
  while (log.count("tube", "recovering") == 0) REQUIRE(succeeded(run.next_event(10e-6, log)));
  for (Node k = 0; k < sections; ++k)
    pulse.residue += (voltage(run, first_section + k) - voltage(run, load)) / sections;
  return pulse;
}

}  // namespace

TEST_CASE("a line of 50 ohm at 8 kV gives 80 A into 50 ohm and 88.9 A into 40 ohm: the nearer the more sections") {
  for (const double ohms : {50.0, 40.0}) {
    CAPTURE(ohms);
    const double expected = 8e3 / (50 + ohms);
    const double few = relative_gap(pulse_of(3, ohms).middle, expected);
    CAPTURE(few);
    const double many = relative_gap(pulse_of(12, ohms).middle, expected);
    CHECK(many < few);
    CHECK(many < 0.01);
  }
}

TEST_CASE("into 40 ohm a line of 50 ohm is left at some -889 V, the nearer the more sections; into 50 ohm at little") {
  double before = 1;
  for (const int sections : {3, 8, 24}) {
    const double gap = relative_gap(pulse_of(sections, 40).residue, -888.888889);
    CAPTURE(sections);
    CAPTURE(gap);
    CHECK(gap < 0.8 * before);
    before = gap;
  }
  CHECK(before < 0.12);
  CHECK(std::fabs(pulse_of(12, 50).residue) < 0.03 * 8e3);
}
