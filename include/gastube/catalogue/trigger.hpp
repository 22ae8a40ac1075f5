// SPDX-License-Identifier: MIT
#pragma once
/// Cold-cathode trigger tubes. Registered designations only.
///
/// They work on rectified mains or some hundred volts: work with the supply off and capacitors discharged.
///
/// Safe to rely on: breakdown and ignition limits, drops, currents. Resistances and least currents are assumed.

#include "gastube/catalogue/cold_cathode.hpp"

namespace gastube::catalogue {

namespace detail {
/// A trigger tube of which nothing is published yet.
constexpr TriggerData assumed_trigger_tube(const char* type) {
  return {.type = type,
          .also_known_as = {},
          .fill = "neon and argon",
          .breakdown_least = not_published,
          .breakdown = assumed(250.0),
          .trigger_ignition = assumed(85.0),
          .trigger_ignition_least = not_published,
          .trigger_ignition_greatest = not_published,
          .trigger_drop = assumed(61.0),
          .trigger_resistance = assumed(5e3),
          .trigger_least_current = assumed(2e-6),
          .transfer_current = assumed(100e-6),
          .transfer_plate = assumed(140.0),
          .maintaining = assumed(65.0),
          .resistance = assumed(100.0),
          .sustaining_current = assumed(1e-3),
          .peak_current = not_published,
          .average_current = assumed(25e-3),
          .averaging_time = assumed(15.0),
          .peak_forward = not_published,
          .peak_inverse = not_published,
          .ambient_low = {-273.0, Confidence::unverified, "not published or not found"},
          .ambient_high = not_published,
          .lag = assumed(10e-6),
          .deionisation_constant = assumed(0.2e-3),
          .leakage = assumed(1e-10),
          .trigger_capacitance = assumed(3e-12)};
}
/// Octal.
constexpr TriggerData entry_0a4g() {
  TriggerData d = assumed_trigger_tube("0A4G");
  d.breakdown_least = handbook(225.0);
  d.breakdown = assumed(250.0, "assumed here: a tenth above the least");
  d.trigger_ignition = worked_out(80.0, "in the middle of 70 to 90 V");
  d.trigger_ignition_least = handbook(70.0);
  d.trigger_ignition_greatest = handbook(90.0);
  d.trigger_drop = handbook(60.0);
  d.transfer_current = handbook(100e-6);
  d.transfer_plate = handbook(140.0);
  d.maintaining = handbook(70.0);
  d.peak_current = handbook(0.1);
  d.average_current = handbook(25e-3);
  d.deionisation_constant = assumed(0.5e-3, "of the order of ms, weakly recollected");
  return d;
}
/// Octal.
constexpr TriggerData entry_1c21() {
  TriggerData d = assumed_trigger_tube("1C21");
  d.breakdown_least = plausible(180.0);
  d.breakdown = assumed(200.0, "assumed here: a tenth above the least");
  d.trigger_ignition = plausible(73.0);
  d.trigger_ignition_least = plausible(66.0);
  d.trigger_ignition_greatest = plausible(80.0);
  d.trigger_drop = plausible(55.0);
  d.transfer_current = recollected(60e-6);
  d.transfer_plate = assumed(140.0);
  d.maintaining = plausible(73.0);
  d.peak_current = handbook(0.1);
  d.average_current = handbook(25e-3);
  d.peak_forward = plausible(180.0);
  return d;
}
/// Miniature, 7-pin.
constexpr TriggerData entry_5823() {
  TriggerData d = assumed_trigger_tube("5823");
  d.breakdown_least = plausible(200.0);
  d.breakdown = assumed(220.0, "assumed here: a tenth above the least");
  d.trigger_ignition = plausible(82.5);
  d.trigger_ignition_least = plausible(73.0);
  d.trigger_ignition_greatest = plausible(105.0);
  d.trigger_drop = plausible(61.0);
  d.transfer_current = plausible(50e-6);
  d.transfer_plate = assumed(140.0);
  d.maintaining = handbook(62.0);
  d.peak_current = handbook(0.1);
  d.average_current = handbook(25e-3);
  d.averaging_time = plausible(15.0);
  d.peak_forward = plausible(200.0);
  d.peak_inverse = plausible(200.0);
  d.ambient_low = plausible(-60.0);
  d.ambient_high = plausible(75.0);
  d.deionisation_constant = assumed(0.15e-3, "assumed here: a third of the rated 0.5 ms");
  return d;
}
/// Noval, with a priming electrode.
constexpr TriggerData entry_z803u() {
  TriggerData d = assumed_trigger_tube("Z803U");
  d.also_known_as = {"6779", nullptr, nullptr};
  d.breakdown_least = plausible(290.0);
  d.breakdown = assumed(320.0, "assumed here: a tenth above the least");
  d.trigger_ignition = plausible(132.0);
  d.trigger_ignition_least = plausible(128.0);
  d.trigger_ignition_greatest = plausible(137.0);
  d.trigger_drop = assumed(95.0);
  d.transfer_current = recollected(35e-6);
  d.transfer_plate = assumed(170.0, "assumed here: the lowest recommended supply");
  d.maintaining = plausible(105.0);
  d.sustaining_current = plausible(8e-3);
  d.peak_current = plausible(0.2);
  d.average_current = plausible(40e-3);
  d.peak_forward = plausible(290.0);
  d.deionisation_constant = assumed(1e-3, "assumed here: a third of a weakly recollected 3 ms");
  return d;
}
}  // namespace detail

/// Every trigger tube; a new one is one more entry.
inline constexpr std::array trigger_tubes{detail::entry_0a4g(), detail::entry_1c21(), detail::entry_5823(),
                                          detail::entry_z803u()};

inline constexpr const TriggerData& data_5823 = of(trigger_tubes, "5823");

/// A tube at the middle of its data.
template <Real S = double>
[[nodiscard]] StandardTriggerTube<S> type_5823() {
  return build<S>(data_5823);
}

}  // namespace gastube::catalogue
