// SPDX-License-Identifier: MIT
#pragma once
/// Argon-filled tubes with hot cathode. Registered type designations only.
///
/// Firing lines are fitted to recollected points and marked unverified; safe to rely on are ratings and arc drop.

#include "gastube/catalogue/hot_cathode.hpp"

namespace gastube::catalogue {

namespace detail {
/// Argon triode for sweep generators and small relays, octal. Its grid has little leverage: control ratio 10.
constexpr TubeData argon_triode(const char* type) {
  TubeData d = assumed_rare_gas_tube(type, gas::argon);
  d.heater_voltage = handbook(6.3);
  d.heater_current = handbook(0.6);
  d.heating_time = recollected(10.0);
  d.peak_forward = handbook(300.0);
  d.peak_inverse = worked_out(350.0, "from the handbook limit of 350 V between any two electrodes");
  d.peak_current = handbook(0.3);
  d.average_current = handbook(0.075);
  d.averaging_time = handbook(30.0);
  d.grid_resistance = handbook(0.5e6);
  d.heater_positive = plausible(25.0);
  d.heater_negative = plausible(100.0);
  d.arc_drop = handbook(16.0);
  d.arc_drop_least = recollected(13.0);
  d.arc_drop_greatest = recollected(20.0);
  d.emission = assumed(3.0, "assumed here: ten times the peak rating");
  d.disintegration = plausible(25.0);
  d.control_ratio = plausible(10.0);
  d.shield_ratio = worked_out(0.0, "a triode has no shield grid");
  d.line_intercept = fitted(3.0);
  d.knee_rise = fitted(0.5);
  d.band_at_zero = recollected(1.0);
  d.band_per_volt = assumed(0.015, "15 % of the negative value, weakly recollected");
  d.ionisation_time_least = recollected(1e-6);
  d.ionisation_time_product = assumed(10e-6);
  d.deionisation_time = recollected(100e-6);
  d.deionisation_constant = assumed(15e-6);
  d.deionisation_reference_current = assumed(0.075);
  d.reverse_breakdown = assumed(525.0, "assumed here: 1.5 times the inverse rating");
  d.grid_plate_capacitance = recollected(6e-12);
  d.input_capacitance = recollected(2e-12);
  d.output_capacitance = recollected(0.6e-12);
  d.shield_plate_capacitance = worked_out(0.0, "a triode has no shield grid");
  d.grid_shield_capacitance = worked_out(0.0, "a triode has no shield grid");
  return d;
}
constexpr TubeData entry_885() {
  TubeData d = argon_triode("885");
  d.heater_voltage = handbook(2.5);
  d.heater_current = handbook(1.5);
  return d;
}
/// Octal tetrode; the gas is told from its drop.
constexpr TubeData entry_2051() {
  TubeData d = assumed_rare_gas_tube("2051", gas::argon);
  d.heater_voltage = handbook(6.3);
  d.heater_current = handbook(0.6);
  d.heating_time = handbook(10.0);
  d.peak_forward = handbook(350.0);
  d.peak_inverse = handbook(700.0);
  d.peak_current = handbook(0.375);
  d.average_current = handbook(0.075);
  d.averaging_time = handbook(30.0);
  d.grid_resistance = plausible(10e6);
  d.heater_positive = recollected(25.0);
  d.heater_negative = recollected(100.0);
  d.arc_drop = handbook(14.0);
  d.arc_drop_least = assumed(12.0);
  d.arc_drop_greatest = assumed(16.0);
  d.emission = assumed(3.75, "assumed here: ten times the peak rating");
  d.disintegration = plausible(25.0);
  d.line_intercept = fitted(-1.0);
  d.deionisation_reference_current = assumed(0.075);
  d.reverse_breakdown = assumed(1050.0, "assumed here: 1.5 times the inverse rating");
  return d;
}
/// Small relay triode; all figures weakly recollected.
constexpr TubeData entry_629() {
  TubeData d = argon_triode("629");
  d.heater_voltage = recollected(2.5);
  d.heater_current = recollected(2.6);
  d.peak_forward = recollected(350.0);
  d.peak_inverse = recollected(350.0);
  d.peak_current = recollected(0.2);
  d.average_current = recollected(0.04);
  d.averaging_time = assumed(30.0);
  d.grid_resistance = not_published;
  d.heater_positive = not_published;
  d.heater_negative = not_published;
  d.arc_drop = assumed(16.0, "taken over from argon tubes of its time");
  d.control_ratio = assumed(10.0, "taken over from argon tubes of its time");
  return d;
}
}  // namespace detail

/// Every argon tube; a new one is one more entry.
inline constexpr std::array argon_tubes{
    detail::argon_triode("884"), detail::entry_885(), detail::argon_triode("6Q5G"),
    detail::entry_2051(),        detail::entry_629(),
};

inline constexpr const TubeData& data_884 = of(argon_tubes, "884");

/// Tubes at the middle of their data.
template <Real S = double>
[[nodiscard]] RareGasTube<S> type_884() {
  return build<S>(data_884);
}

}  // namespace gastube::catalogue
