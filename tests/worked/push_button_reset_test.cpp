// SPDX-License-Identifier: MIT
// A tube put out by grounding its plate: 150 V through 2.2 kohm, deionisation time 500 us, grid at -3 V with a control
// ratio of 20 (holds off 60 V). No printed example was found; closed forms and numbers worked for this library.
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/contact.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/tube/family/ideal.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/energy_check.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/level_watch.hpp"
#include "support_for_tests/shared_run.hpp"
#include "support_for_tests/tight.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;
using closeness::relative_gap;

namespace {

enum { ground, supply, plate, grid, node_count };

const double deionisation = 500e-6, pressed_at = 10e-3;

const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = 15, .sustaining_current = 1e-3}.build(
    FixedDeionisation<double>{deionisation});
/// Fires the tube at 1 ms and rests at -3 V; the width is long enough for a plate capacitor to charge first.
const PulseSource<double> trigger{grid, ground, {.low = -10, .high = 0, .delay = 1e-3, .width = 1e-6}};

/// The latch without a plate capacitor. The grid rests at -10 V: the whole supply is held off.
[[nodiscard]] auto latch(double closed_for, const Bounce<double>& bounce = {}) {
  return shared_start(wire<node_count>(DcSource{supply, ground, 150.0}, Resistor{supply, plate, 2.2e3}, trigger,
                                       wired(tube, {.plate = plate, .grid = grid, .cathode = ground}),
                                       PushButton<double, 1>{plate, ground, {{{pressed_at, closed_for}}}, bounce}),
                      tight<double>());
}
/// State at 20 ms; the tube must have been lit before the button is pressed.
template <class Run>
[[nodiscard]] TubeState end_of(Run run) {
  REQUIRE(run.run_until(9e-3) == Status::done);
  REQUIRE(tube_state(run, "ideal tube") == TubeState::conducting);
  REQUIRE(run.run_until(20e-3) == Status::done);
  return tube_state(run, "ideal tube");
}
/// With 50 nF across the tube.
[[nodiscard]] auto with_capacitor(double closed_for) {
  return shared_start(wire<node_count>(DcSource{supply, ground, 150.0}, Resistor{supply, plate, 2.2e3}, trigger,
                                       wired(tube, {.plate = plate, .grid = grid, .cathode = ground}),
                                       PushButton<double, 1>{plate, ground, {{{pressed_at, closed_for}}}},
                                       Capacitor{plate, ground, 50e-9},
                                       LevelWatch<double>{plate, ground, 60, "held off"}),
                      tight<double>());
}

}  // namespace

TEST_CASE("held for 0.8 deionisation times the button leaves the tube lit, held for 1.2 it puts it out") {
  CHECK(end_of(latch(0.8 * deionisation)) == TubeState::conducting);
  CHECK(end_of(latch(1.2 * deionisation)) == TubeState::blocked);
}

TEST_CASE("the limit is the deionisation time, to one part in ten thousand") {
  CHECK(end_of(latch(deionisation * (1 - 1e-4))) == TubeState::conducting);
  CHECK(end_of(latch(deionisation * (1 + 1e-4))) == TubeState::blocked);
}

TEST_CASE("the button carries E / R while it is held") {
  auto run = latch(600e-6);
  REQUIRE(run.run_until(pressed_at + 300e-6) == Status::done);
  CHECK(relative_gap(current(run, "push button"), 0.0681818) < 1e-6);
  CHECK(tube_state(run, "ideal tube") == TubeState::recovering);
}

TEST_CASE("of a bouncing contact only the longest closure counts") {
  // nine bounces in 540 us: each closure between them lasts 30 us; the last one from 540 us on to the release
  const Bounce<double> bounce{.bounces = 9, .time = 540e-6};
  CHECK(end_of(latch(540e-6 + 0.8 * deionisation, bounce)) == TubeState::conducting);  // 940 us held in all
  CHECK(end_of(latch(540e-6 + 1.2 * deionisation, bounce)) == TubeState::blocked);
}

TEST_CASE("bounce at the release does no harm to a tube that is out already") {
  auto run = latch(2e-3, {.bounces = 20, .time = 300e-6});
  EventLog<double> log;
  REQUIRE(run.run_until(20e-3, log) == Status::done);
  CHECK(tube_state(run, "ideal tube") == TubeState::blocked);
  // relit between the bounces of the press, never after the release
  const auto lit = log.times("ideal tube", "conducting");
  CHECK(lit.size() == 21);
  CHECK(lit.back() < pressed_at + 300e-6);
}

TEST_CASE("with a capacitor across the tube its plate rises as E (1 - exp(-t / RC)), 56.2 us to the 60 V held off") {
  auto run = with_capacitor(1.2 * deionisation);
  EventLog<double> log;
  REQUIRE(run.run_until(pressed_at + 590e-6, log) == Status::done);
  CHECK(log.count("held off", "above") == 1);  // as the run began
  REQUIRE(run.run_until(20e-3, log) == Status::done);
  REQUIRE(log.count("held off", "above") == 2);
  const double released = pressed_at + 1.2 * deionisation;
  CHECK(relative_gap(log.times("held off", "above")[1] - released, 5.61908186e-05) < 1e-6);
  CHECK(tube_state(run, "ideal tube") == TubeState::blocked);
}

TEST_CASE("that capacitor shortens the time to hold by the rise to where a tube without its grid would light") {
  // Until the deionisation time is over this tube strikes at its drop or within a volt above it, hence not at 60 V.
  // Closed form: RC ln(150 / 135) = 11.6 us to the drop, RC ln(150 / 134) = 12.4 us to a volt above
  const auto rise_to = [](double volts) { return 2.2e3 * 50e-9 * std::log(150.0 / (150.0 - volts)); };
  CHECK(end_of(with_capacitor(deionisation - rise_to(16) - 0.1e-6)) == TubeState::conducting);
  CHECK(end_of(with_capacitor(deionisation - rise_to(15) + 0.1e-6)) == TubeState::blocked);
}

TEST_CASE("the energy balance closes as the button puts the tube out, with and without a capacitor") {
  check_energy(latch(600e-6, {.bounces = 9, .time = 540e-6}), 20e-3);
  check_energy(with_capacitor(1.2 * deionisation), 20e-3);
}
