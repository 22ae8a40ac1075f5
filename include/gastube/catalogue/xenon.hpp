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
inline constexpr const char* handbooks = "tube handbooks of the 1950s and 1960s";
inline constexpr const char* recollected = "fitted here to a recollected firing curve";
inline constexpr const char* assumed = "assumed here; order of magnitude of small xenon tetrodes";

constexpr Datum handbook(double v) { return {v, Confidence::handbook, handbooks}; }
constexpr Datum plausible(double v) { return {v, Confidence::plausible, handbooks}; }
constexpr Datum guess(double v) { return {v, Confidence::unverified, assumed}; }
constexpr Datum fitted(double v) { return {v, Confidence::unverified, recollected}; }
constexpr Datum seen(double v, const char* source) { return {v, Confidence::published, source}; }
}  // namespace detail

/// Miniature xenon tetrode, 7-pin.
inline constexpr TubeData data_5727{
    .type = "5727",
    .also_known_as = {"PL21", "EN91", nullptr},
    .fill = &gas::xenon,
    .heater_voltage = detail::seen(6.3, detail::exhibit),
    .heater_current = detail::seen(0.6, detail::exhibit),
    .heating_time = detail::handbook(10.0),
    .heating_time_constant = detail::guess(3.3),
    .peak_forward = detail::seen(650.0, detail::exhibit),
    .peak_inverse = detail::handbook(1300.0),
    .peak_current = detail::seen(0.5, detail::exhibit),
    .average_current = detail::handbook(0.1),
    .averaging_time = detail::handbook(30.0),
    .fault_current = detail::handbook(10.0),
    .fault_time = detail::handbook(0.1),
    .grid_negative_before = detail::handbook(100.0),
    .grid_negative_during = detail::handbook(10.0),
    .shield_negative_before = detail::handbook(100.0),
    .shield_negative_during = detail::handbook(10.0),
    .grid_current = detail::handbook(0.01),
    .grid_resistance = detail::handbook(10e6),
    .heater_positive = detail::handbook(25.0),
    .heater_negative = detail::handbook(100.0),
    .ambient_low = detail::handbook(-75.0),
    .ambient_high = detail::handbook(90.0),
    .arc_drop = detail::seen(8.0, detail::exhibit),
    .arc_drop_least = detail::guess(7.0),
    .arc_drop_greatest = detail::guess(10.0),
    .arc_resistance = detail::guess(2.0),
    .plate_fall = {50e-9, Confidence::unverified, "assumed here; order of magnitude of small xenon tetrodes"},
    .sustaining_current = detail::guess(3e-3),
    .sustaining_least = detail::guess(1e-3),
    .sustaining_greatest = detail::guess(10e-3),
    .control_ratio = detail::seen(250.0, detail::exhibit),
    .shield_ratio = detail::handbook(1000.0),
    .line_intercept = detail::fitted(-1.4),
    .knee_rise = detail::fitted(0.8),
    .band_at_zero = detail::fitted(0.65),
    .band_per_volt = detail::fitted(0.55e-3),
    .band_of_knee = detail::guess(0.5),
    .critical_grid_current = detail::handbook(0.5e-6),
    .ionisation_time_least = {0.3e-6, Confidence::unverified, "least time seen in mercury tubes, taken over for xenon"},
    .ionisation_time_product = {10.3e-6, Confidence::derived,
                                "from the handbook point 0.5 us at 100 V plate, +50 V grid"},
    .deionisation_time = detail::handbook(75e-6),
    .deionisation_constant = {11.6e-6, Confidence::derived, "from the handbook pair 75 us at -10 V, 35 us at -100 V"},
    .deionisation_reference_current = detail::handbook(0.1),
    .electron_perveance = detail::guess(5e-6),
    .grid_perveance = detail::guess(2e-5),
    .grid_leakage = detail::guess(1e-9),
    .ion_share = detail::guess(5e-4),
    .plasma_potential = detail::guess(8.0),
    .plasma_resistance = detail::guess(1e3),
    .reverse_breakdown = {1950.0, Confidence::unverified, "assumed here: 1.5 times the inverse rating"},
    .reverse_drop = detail::guess(20.0),
    .grid_plate_capacitance = detail::handbook(0.026e-12),
    .input_capacitance = detail::handbook(2.4e-12),
    .output_capacitance = detail::handbook(1.6e-12),
};

/// Octal xenon tetrode; rating column for 650 V and 0.1 A average.
inline constexpr TubeData data_2050_a = [] {
  TubeData d = data_5727;
  d.type = "2050-A";
  d.also_known_as = {"2050", nullptr, nullptr};
  d.heater_voltage = detail::seen(6.3, detail::sheet_2050a);
  d.heater_current = detail::seen(0.6, detail::sheet_2050a);
  d.heating_time = detail::seen(10.0, detail::sheet_2050a);
  d.peak_forward = detail::seen(650.0, detail::sheet_2050a);
  d.peak_inverse = detail::seen(1300.0, detail::sheet_2050a);
  d.peak_current = detail::seen(1.0, detail::sheet_2050a);
  d.average_current = detail::seen(0.1, detail::sheet_2050a);
  d.averaging_time = detail::seen(30.0, detail::sheet_2050a);
  d.fault_current = detail::seen(10.0, detail::sheet_2050a);
  d.fault_time = detail::seen(0.1, detail::sheet_2050a);
  d.grid_negative_before = detail::seen(250.0, detail::sheet_2050a);
  d.grid_negative_during = detail::seen(10.0, detail::sheet_2050a);
  d.shield_negative_before = detail::seen(100.0, detail::sheet_2050a);
  d.shield_negative_during = detail::seen(10.0, detail::sheet_2050a);
  d.grid_current = detail::seen(0.01, detail::sheet_2050a);
  d.heater_positive = detail::seen(25.0, detail::sheet_2050a);
  d.heater_negative = detail::seen(100.0, detail::sheet_2050a);
  d.ambient_low = detail::seen(-75.0, detail::sheet_2050a);
  d.ambient_high = detail::seen(90.0, detail::sheet_2050a);
  d.arc_drop = detail::handbook(8.0);
  d.control_ratio = detail::handbook(250.0);
  d.shield_ratio = detail::plausible(800.0);
  d.line_intercept = detail::fitted(-1.3);
  d.deionisation_time = detail::plausible(100e-6);
  d.deionisation_constant = {10.4e-6, Confidence::derived,
                             "from the pair 100 us at -10 V, 50 us at -250 V, from memory"};
  d.grid_plate_capacitance = detail::seen(0.15e-12, detail::sheet_2050a);
  d.input_capacitance = detail::seen(2.2e-12, detail::sheet_2050a);
  d.output_capacitance = detail::plausible(3.6e-12);
  return d;
}();

/// The same tube by its other rating column: 180 V and 0.2 A average. Which average goes with which voltage was
/// reconstructed from scrambled OCR text.
inline constexpr TubeData data_2050_a_low_voltage = [] {
  TubeData d = data_2050_a;
  d.peak_forward = detail::seen(180.0, detail::sheet_2050a);
  d.peak_inverse = detail::seen(360.0, detail::sheet_2050a);
  d.average_current = detail::seen(0.2, detail::sheet_2050a);
  d.grid_resistance = detail::guess(2e6);
  return d;
}();

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
