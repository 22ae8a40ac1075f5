// SPDX-License-Identifier: MIT
// The same oscillator with 1 kohm between capacitor and tube: 300 V, 220 kohm, 0.1 uF, fires at 120 V, drop 12 V,
// sustaining current 5 mA. It oscillates only while the supply alone cannot feed the arc: R > (E - Vd) / Ih - Rd.
// Condition: handbooks of the trade, from memory (H. J. Reich 1944; O. S. Puckle, Time Bases); closed forms and numbers
// worked for this library.
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/tube/family/ideal.hpp>
#include <gastube/tube/recovery/sheath_afterglow.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/energy_check.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/tight.hpp"
#include "support_for_tests/worked_circuit.hpp"

#include <doctest/doctest.h>

#include <string>

using namespace gastube;
using closeness::relative_gap;

namespace {

enum { ground, supply, top, plate, grid, node_count };

const IdealTube<double> data{.control_ratio = 20, .arc_drop = 12, .sustaining_current = 5e-3};
const SheathAfterglow<double> afterglow{
    .time_constant = 30e-6, .time = 100e-6, .reference_current = 0.1, .reference_bias = 10};
const FixedDeionisation<double> fixed_time{100e-6};

template <class Recovery>
[[nodiscard]] auto oscillator(double ohms, const Recovery& recovery, const Settings<double>& settings) {
  return start(wire<node_count>(DcSource{supply, ground, 300.0}, Resistor{supply, top, ohms},
                                Capacitor{top, ground, 0.1e-6}, Resistor{top, plate, 1e3}, DcSource{grid, ground, -6.0},
                                wired(data.build(recovery), {.plate = plate, .grid = grid, .cathode = ground})),
               settings);
}

/// What a tenth of a second shows.
struct Behaviour {
  std::size_t firings, changes;
  TubeState end;
};
template <class Recovery>
[[nodiscard]] Behaviour behaviour(double ohms, const Recovery& recovery) {
  auto run = oscillator(ohms, recovery, Settings<double>{.relative = 1e-7, .absolute = 1e-7});
  EventLog<double> log;
  REQUIRE(run.run_until(0.1, log) == Status::done);
  return {log.count("ideal tube", "conducting"), log.events.size(), tube_state(run, "ideal tube")};
}

/// Oscillates: dozens of firings, each with `changes` changes of state (one cycle may be under way at the end).
void check_oscillates(const Behaviour& seen, std::size_t changes) {
  CAPTURE(seen.firings);
  CAPTURE(seen.changes);
  CHECK(seen.firings > 20);
  CHECK(seen.changes <= changes * seen.firings + changes);
  CHECK(seen.changes + changes >= changes * seen.firings);
}
/// Latches: fires once and stays lit.
void check_latches(const Behaviour& seen) {
  CHECK(seen.firings == 1);
  CHECK(seen.changes == 2);
  CHECK(seen.end == TubeState::conducting);
}

}  // namespace

TEST_CASE("period, discharge time, flyback and peak current") {
  const worked::Circuit circuit{
      .nodes = node_count,
      .sources = {{supply, ground, 300.0}, {grid, ground, -6.0}},
      .resistors = {{supply, top, 220e3}, {top, plate, 1e3}},
      .capacitors = {{top, ground, 0.1e-6}},
      .tubes = {named("tube", wired(data.build(), {.plate = plate, .grid = grid, .cathode = ground}))}};
  for (const worked::Way& way : worked::ways) {
    CAPTURE(way);
    const auto run = worked::start(circuit, way);
    run->until("tube", "conducting", 1.0);
    const double lit = run->until("tube", "conducting", 1.0);
    CHECK(relative_gap(run->current("tube"), 0.108) < way.digits);  // (120 V - 12 V) / 1 kohm, the greatest
    const double out = run->until("tube", "recovering", 1.0), again = run->until("tube", "conducting", 1.0);
    CHECK(relative_gap(out - lit, 0.000334730008) < way.digits);
    CHECK(relative_gap(again - out, 0.00995478) < way.six);
    CHECK(relative_gap(again - lit, 0.010289511) < way.digits);
    CHECK(relative_gap((out - lit) / (again - lit), 0.0325312) < way.six);
    worked::check_books(*run, way);
  }
}

TEST_CASE("beyond 18 Mohm, where a leak of 10 uA takes all that the supply gives at 120 V, it never fires") {
  // printed as the upper limit (E - Vs) / Ip
  for (const worked::Way& way : worked::ways)
    for (const double ohms : {17.9e6, 18.1e6}) {
      CAPTURE(way);
      CAPTURE(ohms);
      const worked::Circuit circuit{
          .nodes = node_count,
          .sources = {{supply, ground, 300.0}, {grid, ground, -6.0}},
          .currents = {steady_current(top, ground, 10e-6)},
          .resistors = {{supply, top, ohms}, {top, plate, 1e3}},
          .capacitors = {{top, ground, 0.1e-6}},
          .tubes = {named("tube", wired(data.build(), {.plate = plate, .grid = grid, .cathode = ground}))}};
      const auto run = worked::start(circuit, way);
      REQUIRE(run->run_until(20.0) == Status::done);  // eleven time constants
      CHECK((run->count("tube", "conducting") > 0) == (ohms < 18e6));
    }
}

TEST_CASE("with instant recovery 57.0 kohm oscillates and 56.0 kohm latches, four changes a cycle and no chatter") {
  check_oscillates(behaviour(57e3, InstantRecovery<double>{}), 4);
  check_latches(behaviour(56e3, InstantRecovery<double>{}));
}

TEST_CASE("with a fixed deionisation time of 100 us the limit is the same") {
  check_oscillates(behaviour(57e3, fixed_time), 6);
  check_latches(behaviour(56e3, fixed_time));
}

TEST_CASE("with an afterglow of 100 us the limit is the same, and the tube does not flicker as it goes out") {
  check_oscillates(behaviour(57e3, afterglow), 6);
  check_latches(behaviour(56e3, afterglow));
}

TEST_CASE("the limit lies at 56.6 kohm to one part in a thousand, whatever the recovery") {
  check_oscillates(behaviour(56.65e3, InstantRecovery<double>{}), 4);
  check_latches(behaviour(56.55e3, InstantRecovery<double>{}));
  check_oscillates(behaviour(56.65e3, afterglow), 6);
  check_latches(behaviour(56.55e3, afterglow));
}

TEST_CASE("its energy balance closes, oscillating and latched, whatever the recovery") {
  for (const double ohms : {57e3, 56e3}) {
    check_energy(oscillator(ohms, InstantRecovery<double>{}, tight<double>()), 0.1);
    check_energy(oscillator(ohms, fixed_time, tight<double>()), 0.1);
  }
}
