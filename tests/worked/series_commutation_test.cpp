// SPDX-License-Identifier: MIT
// Tubes put out by the circuit in series with them: by a coil and a capacitor that ring, and by the zero of an
// alternating supply. Closed forms worked for this library; 0.99 ms and -200 V are a printed solid-state example (P. S.
// Bimbhra's numbering, "Example 5.1"), 1416.09 Hz another ("Inverters 3_1"), both found as solved problems.
#include "support_for_tests/worked_circuit.hpp"

#include <cmath>
#include <numbers>

using namespace gastube;
using closeness::relative_gap;

namespace {

enum { ground, supply, cathode, top, grid, bleeder, node_count };

/// Supply, tube, coil with its resistance and capacitor in series; the grid is pulsed at 0.1 ms. A load across the
/// capacitor is switched on by its contact.
[[nodiscard]] worked::Circuit ringing(double volts, double drop, double henries, double ohms, double farads) {
  const auto tube = IdealTube<double>{.control_ratio = 100, .arc_drop = drop}.build();
  return {.nodes = node_count,
          .sources = {{supply, ground, volts}},
          .pulses = {{grid, cathode, {.low = -20, .high = 0, .delay = 1e-4, .width = 1e-6}}},
          .resistors = {{bleeder, ground, 5e3}},
          .capacitors = {{top, ground, farads}},
          .inductors = {{cathode, top, henries, ohms}},
          .contacts = {{top, bleeder, false, 0.0}},
          .tubes = {named("tube", wired(tube, {.plate = supply, .grid = grid, .cathode = cathode}))},
          .watches = {{supply, top, 0, "tube's voltage"}}};
}
/// From the pulse to the extinction, s.
[[nodiscard]] double conduction(worked::Run& run) {
  const double fired = run.until("tube", "conducting", 1.0);
  return run.until("tube", "recovering", 1.0) - fired;
}

}  // namespace

TEST_CASE("150 V, 10 mH, 40 ohm and 1 uF conduct for 0.3206 ms and leave 206.1 V on the capacitor") {
  for (const worked::Way& way : worked::ways) {
    CAPTURE(way);
    const auto run = worked::start(ringing(150, 15, 10e-3, 40, 1e-6), way);
    CHECK(relative_gap(conduction(*run), 0.000320637458) < way.digits);
    CHECK(relative_gap(run->voltage(top), 206.093781) < way.digits);
    CHECK(relative_gap(run->voltage(supply) - run->voltage(top), -56.0938) < 4 * way.six);
    // With 5 kohm across the capacitor the tube's voltage is back at 0 after RL C ln(vC / E).
    const double out = run->time();
    REQUIRE(succeeded(run->set_contact(0, true)));
    CHECK(relative_gap(run->until("tube's voltage", "above", 1.0) - out, 0.00158848) < way.six);
    worked::check_books(*run, way);
    const auto crest = worked::start(ringing(150, 15, 10e-3, 40, 1e-6), way);
    REQUIRE(crest->run_until(1e-4 + 0.000139768) == Status::done);
    CHECK(relative_gap(crest->current("tube"), 1.02078) < way.six);
  }
}

TEST_CASE("200 V, 5 mH and 20 uF without loss conduct for 0.99 ms and leave the tube with -200 V") {
  for (const worked::Way& way : worked::ways) {
    CAPTURE(way);
    const auto run = worked::start(ringing(200, 1e-7, 5e-3, 0, 20e-6), way);  // drop: 0.1 uV stands for none
    CHECK(relative_gap(conduction(*run), 0.000993458827) < way.digits);
    CHECK(relative_gap(200 - run->voltage(top), -200.0) < way.digits);
    worked::check_books(*run, way);
  }
}

TEST_CASE("a series inverter of 80 ohm, 8 mH and 1.2 uF rings at 1416.09 Hz, with two rests of 14 us at 1362.1 Hz") {
  for (const worked::Way& way : worked::ways) {
    CAPTURE(way);
    const auto run = worked::start(ringing(200, 1e-7, 8e-3, 80, 1.2e-6), way);
    const double half = conduction(*run);
    CHECK(relative_gap(1 / (2 * half), 1416.09148) < way.digits);
    CHECK(relative_gap(1 / (2 * half + 28e-6), 1362.08409) < way.digits);
  }
}

TEST_CASE("on 24 V, 60 Hz the tube has 10.30 ms from its extinction to the next 14 V; 75 us suffice it, 20 ms do not") {
  enum { gnd, line, plate, g, count };
  const IdealTube<double> type{.control_ratio = 1, .arc_drop = 10, .sustaining_current = 5e-3};
  for (const worked::Way& way : worked::ways) {
    CAPTURE(way);
    worked::Circuit circuit{.nodes = count,
                            .sources = {{g, gnd, -14.0}},
                            .sines = {{line, gnd, {24 * std::numbers::sqrt2, 60}}},
                            .resistors = {{line, plate, 100.0}},
                            .tubes = {named("tube", wired(type.build(), {.plate = plate, .grid = g, .cathode = gnd}))},
                            .watches = {{gnd, line, 0, "reverse"}}};
    const auto run = worked::start(circuit, way, 100e-6);
    REQUIRE(run->run_until(1.6 / 60) == Status::done);
    const auto lit = run->times("tube", "conducting"), out = run->times("tube", "recovering");
    REQUIRE(lit.size() == 2);
    REQUIRE(out.size() >= 1);
    CHECK(relative_gap(out[0] * 60 * 360, 161.979) < way.six);
    CHECK(relative_gap(lit[1] - out[0], 0.0102954293) < way.digits);
    CHECK(relative_gap(run->times("reverse", "below")[0] - out[0], 0.00916762) < way.six);
    worked::check_books(*run, way);
    // At a grid of -40 V, fired by a pulse: held off in the next half cycle only if it has recovered by then.
    circuit.sources.clear();
    circuit.pulses = {{g, gnd, {.low = -40, .high = 0, .delay = 4e-3, .width = 1e-4}}};
    circuit.tubes.clear();
    for (const auto& [time, relights] : {std::pair{75e-6, false}, {20e-3, true}}) {
      circuit.timed_tubes = {named(
          "tube", wired(type.build(FixedDeionisation<double>{time}), {.plate = plate, .grid = g, .cathode = gnd}))};
      const auto timed = worked::start(circuit, way, 100e-6);
      REQUIRE(timed->run_until(1.4 / 60) == Status::done);
      CHECK(timed->count("tube", "conducting") == (relights ? 2 : 1));
    }
  }
}
