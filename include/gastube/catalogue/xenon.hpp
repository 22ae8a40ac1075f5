// SPDX-License-Identifier: MIT
#pragma once
/// Xenon-filled tubes with hot cathode. Registered type designations only.
///
/// Firing characteristics could not be read from a scan: intercept, knee and band are fitted to a recollected curve and
/// marked unverified. Safe to rely on: ratings, control ratio, and the published relay operating points.

#include "gastube/catalogue/hot_cathode.hpp"

namespace gastube::catalogue {

namespace detail {
inline constexpr const char* exhibit = "online valve-museum exhibit page on EN91, 2019";
inline constexpr const char* sheet_2050a = "data sheet 2050-A, ET-T1686, dated 4-63, read from OCR text";
inline constexpr const char* collector = "collector's page quoting handbooks on TG1-0.02/0.5";
inline constexpr const char* half_more = "assumed here: 1.5 times the inverse rating";

/// Miniature xenon tetrode, 7-pin.
constexpr TubeData entry_5727() {
  TubeData d = assumed_rare_gas_tube("5727", gas::xenon);
  d.also_known_as = {"PL21", "EN91", nullptr};
  d.heater_voltage = seen(6.3, exhibit);
  d.heater_current = seen(0.6, exhibit);
  d.heating_time = handbook(10.0);
  d.peak_forward = seen(650.0, exhibit);
  d.peak_inverse = handbook(1300.0);
  d.peak_current = seen(0.5, exhibit);
  d.average_current = handbook(0.1);
  d.averaging_time = handbook(30.0);
  d.fault_current = handbook(10.0);
  d.fault_time = handbook(0.1);
  d.grid_negative_before = handbook(100.0);
  d.grid_negative_during = handbook(10.0);
  d.shield_negative_before = handbook(100.0);
  d.shield_negative_during = handbook(10.0);
  d.grid_current = handbook(0.01);
  d.grid_resistance = handbook(10e6);
  d.heater_positive = handbook(25.0);
  d.heater_negative = handbook(100.0);
  d.ambient_low = handbook(-75.0);
  d.ambient_high = handbook(90.0);
  d.arc_drop = seen(8.0, exhibit);
  d.control_ratio = seen(250.0, exhibit);
  d.shield_ratio = handbook(1000.0);
  d.critical_grid_current = handbook(0.5e-6);
  d.ionisation_time_product = worked_out(10.3e-6, "from the handbook point 0.5 us at 100 V plate, +50 V grid");
  d.deionisation_time = handbook(75e-6);
  d.deionisation_constant = worked_out(11.6e-6, "from the handbook pair 75 us at -10 V, 35 us at -100 V");
  d.deionisation_reference_current = handbook(0.1);
  d.deionisation_strong_bias = handbook(100.0);
  d.deionisation_time_strong = handbook(35e-6);
  d.reverse_breakdown = assumed(1950.0, half_more);
  d.grid_plate_capacitance = handbook(0.026e-12);
  d.input_capacitance = handbook(2.4e-12);
  d.output_capacitance = handbook(1.6e-12);
  return d;
}

/// Octal xenon tetrode; rating column for 650 V and 0.1 A average.
constexpr TubeData entry_2050_a() {
  TubeData d = assumed_rare_gas_tube("2050-A", gas::xenon);
  d.also_known_as = {"2050", nullptr, nullptr};
  d.heater_voltage = seen(6.3, sheet_2050a);
  d.heater_current = seen(0.6, sheet_2050a);
  d.heating_time = seen(10.0, sheet_2050a);
  d.peak_forward = seen(650.0, sheet_2050a);
  d.peak_inverse = seen(1300.0, sheet_2050a);
  d.peak_current = seen(1.0, sheet_2050a);
  d.average_current = seen(0.1, sheet_2050a);
  d.averaging_time = seen(30.0, sheet_2050a);
  d.fault_current = seen(10.0, sheet_2050a);
  d.fault_time = seen(0.1, sheet_2050a);
  d.grid_negative_before = seen(250.0, sheet_2050a);
  d.grid_negative_during = seen(10.0, sheet_2050a);
  d.shield_negative_before = seen(100.0, sheet_2050a);
  d.shield_negative_during = seen(10.0, sheet_2050a);
  d.grid_current = seen(0.01, sheet_2050a);
  d.grid_resistance = handbook(10e6);
  d.heater_positive = seen(25.0, sheet_2050a);
  d.heater_negative = seen(100.0, sheet_2050a);
  d.ambient_low = seen(-75.0, sheet_2050a);
  d.ambient_high = seen(90.0, sheet_2050a);
  d.arc_drop = handbook(8.0);
  d.control_ratio = handbook(250.0);
  d.shield_ratio = plausible(800.0);
  d.line_intercept = fitted(-1.3);
  d.critical_grid_current = handbook(0.5e-6);
  d.ionisation_time_product = worked_out(10.3e-6, "from the point 0.5 us at 100 V plate, +50 V grid, from memory");
  d.deionisation_time = plausible(100e-6);
  d.deionisation_constant = worked_out(10.4e-6, "from the pair 100 us at -10 V, 50 us at -250 V, from memory");
  d.deionisation_reference_current = plausible(0.1);
  d.deionisation_strong_bias = plausible(250.0);
  d.deionisation_time_strong = plausible(50e-6);
  d.reverse_breakdown = assumed(1950.0, half_more);
  d.grid_plate_capacitance = seen(0.15e-12, sheet_2050a);
  d.input_capacitance = seen(2.2e-12, sheet_2050a);
  d.output_capacitance = plausible(3.6e-12);
  return d;
}

/// The same tube by its other rating column. Which average current goes with which voltage was reconstructed from
/// scrambled OCR text.
constexpr TubeData entry_2050_a_low_voltage() {
  TubeData d = entry_2050_a();
  d.type = "2050-A, 180 V column";
  d.also_known_as = {};
  d.peak_forward = seen(180.0, sheet_2050a);
  d.peak_inverse = seen(360.0, sheet_2050a);
  d.average_current = seen(0.2, sheet_2050a);
  d.grid_resistance = recollected(2e6);
  return d;
}

/// Miniature xenon tetrode with a small heater, 7-pin.
constexpr TubeData entry_5696() {
  TubeData d = assumed_rare_gas_tube("5696", gas::xenon);
  d.heater_voltage = handbook(6.3);
  d.heater_current = handbook(0.15);
  d.heating_time = handbook(10.0);
  d.peak_forward = handbook(500.0);
  d.peak_inverse = handbook(500.0);
  d.peak_current = plausible(0.1);
  d.average_current = plausible(0.025);
  d.averaging_time = plausible(30.0);
  d.fault_current = plausible(2.0);
  d.fault_time = plausible(0.1);
  d.grid_negative_before = plausible(100.0);
  d.grid_negative_during = plausible(10.0);
  d.shield_negative_before = recollected(50.0);
  d.shield_negative_during = recollected(10.0);
  d.grid_resistance = plausible(10e6);
  d.heater_positive = plausible(25.0);
  d.heater_negative = plausible(100.0);
  d.ambient_low = recollected(-55.0);
  d.ambient_high = recollected(90.0);
  d.arc_drop = plausible(10.0);
  d.control_ratio = recollected(250.0);
  d.line_intercept = fitted(-1.2);
  d.critical_grid_current = plausible(0.5e-6);
  d.deionisation_time = recollected(40e-6);
  d.deionisation_constant = assumed(6.2e-6, "a weakly recollected pair: 40 us at -10 V, 25 us at -50 V");
  d.deionisation_reference_current = recollected(0.025);
  d.reverse_breakdown = assumed(750.0, half_more);
  d.emission = assumed(1.0, "assumed here: ten times the peak rating");
  d.grid_plate_capacitance = plausible(0.03e-12);
  d.input_capacitance = plausible(1.8e-12);
  d.output_capacitance = plausible(0.7e-12);
  d.shield_plate_capacitance = assumed(0.4e-12);
  return d;
}

/// Medium-power octal xenon tetrode.
constexpr TubeData entry_6574() {
  TubeData d = assumed_rare_gas_tube("6574", gas::xenon);
  d.also_known_as = {"EN32", nullptr, nullptr};
  d.heater_voltage = plausible(6.3);
  d.heater_current = plausible(0.95);
  d.heating_time = recollected(30.0);
  d.peak_forward = plausible(650.0);
  d.peak_inverse = plausible(1300.0);
  d.peak_current = plausible(2.0);
  d.average_current = plausible(0.3);
  d.arc_drop = plausible(10.0);
  d.deionisation_reference_current = assumed(0.3);
  d.reverse_breakdown = assumed(1950.0, half_more);
  d.emission = assumed(20.0, "assumed here: ten times the peak rating");
  return d;
}

/// Medium-power octal xenon tetrode.
constexpr TubeData entry_6012() {
  TubeData d = assumed_rare_gas_tube("6012", gas::xenon);
  d.heater_voltage = plausible(6.3);
  d.heater_current = plausible(2.6);
  d.heating_time = plausible(30.0);
  d.peak_forward = plausible(650.0);
  d.peak_inverse = plausible(1300.0);
  d.peak_current = plausible(5.0);
  d.average_current = plausible(0.5);
  d.arc_drop = recollected(10.0);
  d.deionisation_reference_current = assumed(0.5);
  d.reverse_breakdown = assumed(1950.0, half_more);
  d.emission = assumed(50.0, "assumed here: ten times the peak rating");
  return d;
}

/// Medium-power xenon tetrode.
constexpr TubeData entry_3d22_a() {
  TubeData d = assumed_rare_gas_tube("3D22A", gas::xenon);
  d.heater_voltage = plausible(6.3);
  d.heater_current = plausible(2.6);
  d.heating_time = plausible(30.0);
  d.peak_forward = handbook(650.0);
  d.peak_inverse = handbook(1300.0);
  d.peak_current = recollected(8.0);
  d.average_current = recollected(0.8);
  d.averaging_time = recollected(30.0);
  d.fault_current = recollected(20.0);
  d.fault_time = recollected(0.1);
  d.grid_resistance = recollected(2e6);
  d.ambient_low = recollected(-75.0);
  d.ambient_high = recollected(90.0);
  d.arc_drop = plausible(10.0);
  d.deionisation_reference_current = assumed(0.8);
  d.reverse_breakdown = assumed(1950.0, half_more);
  d.emission = assumed(80.0, "assumed here: ten times the peak rating");
  return d;
}

/// Miniature xenon tetrode with full shield grid, of another country's standard; two figures are known.
constexpr TubeData entry_tg1() {
  TubeData d = assumed_rare_gas_tube("TG1-0.02/0.5", gas::xenon);
  d.peak_forward = seen(500.0, collector);
  d.average_current = seen(0.02, collector);
  d.deionisation_reference_current = assumed(0.02);
  d.reverse_breakdown = assumed(750.0, "assumed here: 1.5 times the forward rating");
  d.emission = assumed(1.0);
  return d;
}

/// Industrial xenon triode, directly heated.
constexpr TubeData xenon_triode(const char* type) {
  TubeData d = assumed_rare_gas_tube(type, gas::xenon);
  d.heater_voltage = handbook(2.5);
  d.peak_inverse = handbook(1250.0);
  d.fault_time = plausible(0.1);
  d.grid_negative_during = recollected(10.0);
  d.grid_resistance = recollected(0.1e6);
  d.ambient_low = plausible(-55.0);
  d.arc_drop = plausible(9.5);
  d.arc_drop_least = plausible(8.0);
  d.arc_drop_greatest = plausible(12.0);
  d.arc_resistance = assumed(0.1);
  d.sustaining_current = assumed(0.1);
  d.sustaining_least = assumed(0.03);
  d.sustaining_greatest = assumed(0.3);
  d.control_ratio = recollected(175.0);
  d.shield_ratio = worked_out(0.0, "a triode has no shield grid");
  d.line_intercept = fitted(-0.8);
  d.critical_grid_current = plausible(10e-6);
  d.ionisation_time_product = assumed(10e-6, "10 us near the critical voltage, weakly recollected");
  d.deionisation_time = recollected(700e-6);
  d.deionisation_constant = assumed(100e-6);
  d.electron_perveance = assumed(2e-5);
  d.grid_plate_capacitance = assumed(4e-12, "assumed here: a large tube without a shield grid");
  d.input_capacitance = assumed(8e-12);
  d.output_capacitance = assumed(1e-12);
  d.reverse_breakdown = assumed(1875.0, half_more);
  return d;
}
constexpr TubeData entry_5684() {
  TubeData d = xenon_triode("5684");
  d.heater_current = handbook(9.0);
  d.heating_time = plausible(30.0);
  d.peak_forward = plausible(1000.0);
  d.peak_current = handbook(30.0);
  d.average_current = handbook(2.5);
  d.averaging_time = plausible(4.5);
  d.fault_current = plausible(300.0);
  d.ambient_high = plausible(75.0);
  d.commutation_factor = recollected(0.66e12);
  d.deionisation_reference_current = assumed(2.5);
  d.emission = assumed(300.0, "assumed here: ten times the peak rating");
  return d;
}
constexpr TubeData entry_5685() {
  TubeData d = xenon_triode("5685");
  d.heater_current = handbook(21.0);
  d.heating_time = plausible(60.0);
  d.peak_forward = plausible(1000.0);
  d.peak_current = handbook(77.0);
  d.average_current = handbook(6.4);
  d.averaging_time = plausible(6.0);
  d.fault_current = plausible(770.0);
  d.ambient_high = plausible(70.0);
  d.commutation_factor = recollected(0.7e12);
  d.deionisation_reference_current = assumed(6.4);
  d.emission = assumed(770.0, "assumed here: ten times the peak rating");
  return d;
}
}  // namespace detail

/// Every xenon tube; a new one is one more entry.
inline constexpr std::array xenon_tubes{
    detail::entry_5727(),   detail::entry_2050_a(), detail::entry_2050_a_low_voltage(),
    detail::entry_5696(),   detail::entry_6574(),   detail::entry_6012(),
    detail::entry_3d22_a(), detail::entry_tg1(),    detail::entry_5684(),
    detail::entry_5685(),
};

inline constexpr const TubeData& data_5727 = of(xenon_tubes, "5727");
inline constexpr const TubeData& data_2050_a = of(xenon_tubes, "2050-A");
inline constexpr const TubeData& data_2050_a_low_voltage = of(xenon_tubes, "2050-A, 180 V column");

/// Tubes at the middle of their data.
template <Real S = double>
[[nodiscard]] RareGasTube<S> type_5727() {
  return build<S>(data_5727);
}
template <Real S = double>
[[nodiscard]] RareGasTube<S> type_2050_a() {
  return build<S>(data_2050_a);
}

}  // namespace gastube::catalogue
