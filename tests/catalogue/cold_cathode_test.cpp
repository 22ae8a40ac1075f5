// SPDX-License-Identifier: MIT
// From the data of a cold-cathode tube to its laws: each datum goes where it belongs.
#include <gastube/catalogue/cold_cathode.hpp>
#include <gastube/catalogue/glow.hpp>
#include <gastube/catalogue/trigger.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

#include <string>

using namespace gastube;
using catalogue::Datum;
using closeness::relative_gap;

namespace {
constexpr Datum made_up(double value) { return {value, Confidence::unverified, "made up for this test"}; }
template <class S>
bool same(const S& got, double wanted) {
  return relative_gap(got, wanted) < 8 * double(round_off<S>);
}
}  // namespace

TEST_CASE_TEMPLATE("a glow tube passes through its published points", S, float, double, long double) {
  catalogue::GlowData d = catalogue::data_ne2;
  d.resistance = made_up(4e3);
  d.leakage = made_up(3e-10);
  const auto tube = catalogue::build<S>(d, S(0.5));
  const auto& laws = tube.laws();
  CHECK(same(laws.arc.voltage(S(d.design_current.value), TubeState::glow), d.maintaining));
  CHECK(same(laws.arc.slope(S(1e-4), TubeState::glow), 4e3));
  CHECK(same(laws.ignition.voltage(false), d.strike + 0.5 * d.dark_increase));
  CHECK(same(laws.ignition.voltage(true), d.strike_inverse + 0.5 * d.dark_increase));
  CHECK(same(tube.least_current(), d.extinction_current));
  CHECK(same(laws.arc.covered_from, d.covering_current));
  CHECK(same(laws.arc.abnormal_resistance, d.abnormal_resistance));
  CHECK(same(laws.arc.arc_from, d.arc_current));
  CHECK(same(laws.arc.arc_drop, d.arc_drop));
  CHECK(same(laws.arc.arc_least, d.arc_least));
  CHECK(same(laws.delay.scale, d.lag));
  CHECK(same(laws.recovery.time_constant, d.deionisation_constant));
  CHECK(same(laws.electrons.conductance, 3e-10));
  CHECK(same(tube.capacitances().plate_cathode, d.capacitance));
  CHECK(same(laws.ratings.average_current, d.greatest_current));
}

TEST_CASE_TEMPLATE("a trigger tube passes through its published points", S, float, double, long double) {
  const catalogue::TriggerData& d = catalogue::data_5823;
  const auto tube = catalogue::build<S>(d);
  const auto& laws = tube.laws();
  CHECK(same(laws.ignition.breakdown(S(0)), d.breakdown));
  CHECK(relative_gap(laws.ignition.current_needed(S(d.transfer_plate.value)), d.transfer_current.value) < 1e-5);
  CHECK(same(laws.grid.ignition, d.trigger_ignition));
  CHECK(same(laws.grid.drop, d.trigger_drop));
  CHECK(same(laws.grid.resistance, d.trigger_resistance));
  CHECK(same(laws.grid.least_current, d.trigger_least_current));
  CHECK(same(laws.arc.voltage(S(0)), d.maintaining));
  CHECK(same(laws.arc.slope(S(1)), d.resistance));
  CHECK(same(tube.least_current(), d.sustaining_current));
  CHECK(same(laws.recovery.time_constant, d.deionisation_constant));
  CHECK(same(laws.ratings.peak_current, d.peak_current));
  CHECK(same(laws.ratings.average_current, d.average_current));
  CHECK(same(laws.ratings.peak_inverse, d.peak_inverse));
  CHECK(same(tube.capacitances().grid_cathode, d.trigger_capacitance));
}

TEST_CASE("data that contradict a law's range are refused by law and field") {
  catalogue::GlowData lamp = catalogue::data_ne2;
  lamp.covering_current = made_up(-1.0);
  CHECK(refusal::of([&] { static_cast<void>(catalogue::build(lamp)); }) == "glow drop: covered_from");
  catalogue::TriggerData trigger = catalogue::data_5823;
  trigger.transfer_plate = made_up(10.0);
  CHECK(refusal::of([&] { static_cast<void>(catalogue::build(trigger)); }) == "transfer: anode");
}
