// SPDX-License-Identifier: MIT
// A capacitor discharged through tube, coil and resistor, and charged again. Formulas of the resonant charge: handbooks
// of the trade, from memory (G. N. Glasoe and J. V. Lebacqz, Pulse Generators); the other closed forms and all numbers
// worked for this library.
#include "support_for_tests/worked_circuit.hpp"

#include <cmath>
#include <numbers>

using namespace gastube;
using closeness::relative_gap;

namespace {

enum { ground, top, cathode, middle, grid, supply, node_count };

/// 0.1 uF at 1 kV, 2 uH, tube of 30 V fired at 1 us.
[[nodiscard]] worked::Circuit discharge(double ohms) {
  const auto tube = IdealTube<double>{.control_ratio = 100, .arc_drop = 30}.build(FixedDeionisation<double>{1e-3});
  return {.nodes = supply,
          .pulses = {{grid, cathode, {.low = -20, .high = 0, .delay = 1e-6, .width = 1e-7}}},
          .resistors = {{middle, ground, ohms}},
          .capacitors = {{top, ground, 0.1e-6, 1000.0}},
          .inductors = {{cathode, middle, 2e-6}},
          .timed_tubes = {named("tube", wired(tube, {.plate = top, .grid = grid, .cathode = cathode}))}};
}

}  // namespace

TEST_CASE("0.1 uF at 1 kV through 2 uH: crest and its time, under, at and over critical damping") {
  const double known[][3] = {
      {2, 6.17258e-07, 159.301856}, {8.94427191, 4.47214e-07, 79.7925335}, {20, 3.22807e-07, 43.1808}};
  for (const worked::Way& way : worked::ways)
    for (const auto& [resistance, when, crest] : known) {
      const double ohms = resistance;  // a binding cannot be captured
      CAPTURE(way);
      CAPTURE(ohms);
      const auto run = worked::start(discharge(ohms), way);
      REQUIRE(run->run_until(1e-6 + when) == Status::done);
      CHECK(relative_gap(run->current("tube"), crest) < way.six);
      // the crest is flat: a hundredth earlier and later less flows
      const auto early = worked::start(discharge(ohms), way), late = worked::start(discharge(ohms), way);
      REQUIRE(early->run_until(1e-6 + 0.95 * when) == Status::done);
      REQUIRE(late->run_until(1e-6 + 1.05 * when) == Status::done);
      CHECK(early->current("tube") < run->current("tube"));
      CHECK(late->current("tube") < run->current("tube"));
    }
}

TEST_CASE("with 2 ohm the current is zero after 1.44 us, and the capacitor is left at -441.8 V") {
  for (const worked::Way& way : worked::ways) {
    CAPTURE(way);
    const auto run = worked::start(discharge(2), way);
    CHECK(relative_gap(run->until("tube", "recovering", 1.0) - 1e-6, 1.44146e-06) < way.six);
    const double left = run->voltage(top);
    CHECK(relative_gap(left, -441.804775) < way.digits);
    CHECK(relative_gap(30 * 0.1e-6 * (1000 - left), 0.00432541) < way.six);  // J lost in the tube
    CHECK(relative_gap(0.1e-6 * (1000 - left) * 500, 0.0720902) < way.six);  // A, mean of 500 pulses a second
    worked::check_books(*run, way);
  }
}

TEST_CASE(
    "recharged through 20 kohm from 1 kV the plate is back at 100 V after 0.2107 ms from 0, 0.9425 ms from below") {
  for (const worked::Way& way : worked::ways)
    for (const auto& [from, expected] : {std::pair{0.0, 0.000210721}, {-441.804775, 0.000942512321}}) {
      CAPTURE(way);
      const worked::Circuit circuit{.nodes = 3,
                                    .sources = {{2, ground, 1000.0}},
                                    .resistors = {{2, top, 20e3}},
                                    .capacitors = {{top, ground, 0.1e-6, from}},
                                    .watches = {{top, ground, 100, "held"}}};
      const auto run = worked::start(circuit, way);
      CHECK(relative_gap(run->until("held", "above", 1.0), expected) < way.six);
      if (from < 0) {
        REQUIRE(run->run_until(2e-3) == Status::done);
        CHECK(relative_gap(run->voltage(top), 469.59) < way.six);
      }
      worked::check_books(*run, way);
    }
}

TEST_CASE("4 kV through 2 H charge 12.5 nF to 8 kV in 0.4967 ms, and leave the tube 50.2 or 107.6 us below 200 V") {
  struct Row {
    double from, held, peak;
  };
  for (const worked::Way& way : worked::ways)
    for (const Row& row : {Row{0, 5.02107e-05, 8000}, Row{-888.888889, 0.000107592853, 8888.89}}) {
      CAPTURE(way);
      const worked::Circuit circuit{.nodes = 3,
                                    .sources = {{2, ground, 4000.0}},
                                    .resistors = {{top, ground, 1e12}},
                                    .capacitors = {{top, ground, 12.5e-9, row.from}},
                                    .inductors = {named("choke", Inductor{2, top, 2.0})},
                                    .watches = {{top, ground, 200, "held"}}};
      const auto run = worked::start(circuit, way);
      CHECK(relative_gap(run->until("held", "above", 1.0), row.held) < way.six);
      REQUIRE(run->run_until(0.000496729 / 2) == Status::done);
      if (row.from == 0) CHECK(relative_gap(run->current("choke"), 0.316228) < way.six);
      REQUIRE(run->run_until(0.000496729) == Status::done);
      CHECK(relative_gap(run->voltage(top), row.peak) < way.six);
      worked::check_books(*run, way);
    }
}
