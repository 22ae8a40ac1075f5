// SPDX-License-Identifier: MIT
#pragma once
/// Tubes filled with mercury vapour, some with argon added so that they start cold. Registered type designations only.
///
/// Mercury is poisonous: do not open these tubes, and clear up a broken one by the rules where you live.
///
/// Their pressure, and with it firing line, drop and recovery, follows the coldest place of the bulb: a tube is built
/// for one temperature of its condensed mercury. Firing lines are recollected and marked unverified; safe to rely on
/// are ratings, the limits of the drop, and that hotter mercury needs a more negative grid and a longer recovery.
/// Pool tubes are left out: what is known of them here (a cathode fall of 10 V) does not make a model.

#include "gastube/catalogue/hot_cathode.hpp"
#include "gastube/gas/vapour.hpp"
#include "gastube/tube/arc/vapour_drop.hpp"
#include "gastube/tube/ignition/vapour_shift.hpp"
#include "gastube/tube/recovery/power_law.hpp"

namespace gastube::catalogue {

/// Data of a mercury tube. The hot-cathode data hold at the reference temperature.
struct MercuryData {
  TubeData tube;
  Datum reference_temperature;          ///< degrees Celsius, of the condensed mercury
  Datum condensed_low, condensed_high;  ///< degrees Celsius
  Datum drop_per_fold;                  ///< V, fall of the arc drop for each e-fold of pressure
  Datum shift_per_fold;                 ///< V, shift of the critical grid voltage for each e-fold of pressure
  Datum buffer_pressure;                ///< Pa, of a rare gas added
  Datum grid_plate_gap;                 ///< m
  const char* type = tube.type;
  std::array<const char*, 3> also_known_as = tube.also_known_as;
};

/// Calls f(name, unit, datum) for every field, in the order of a data sheet.
template <class Function>
constexpr void for_each_field(const MercuryData& d, Function&& f) {
  for_each_field(d.tube, f);
  f("reference temperature of the condensed mercury", "degrees Celsius", d.reference_temperature);
  f("lowest temperature of the condensed mercury", "degrees Celsius", d.condensed_low);
  f("highest temperature of the condensed mercury", "degrees Celsius", d.condensed_high);
  f("fall of the arc drop per e-fold of pressure", "V", d.drop_per_fold);
  f("shift of ignition per e-fold of pressure", "V", d.shift_per_fold);
  f("pressure of the rare gas added", "Pa", d.buffer_pressure);
  f("distance from grid to plate", "m", d.grid_plate_gap);
}

template <Real S>
using MercuryLaws = HotCathodeLaws<S, VapourIgnition<S>, VapourDrop<S>, PowerLawRecovery<S>>;
template <Real S = double>
using MercuryTube = Thyratron<MercuryLaws<S>>;

/// A mercury tube at this temperature of its condensed mercury, the coldest place of the bulb; that is 10 to 25 degrees
/// above the ambient in service (common practice, no source).
/// @param celsius  degrees Celsius, -38 to 400; @throws InvalidParameter
template <Real S = double>
[[nodiscard]] MercuryTube<S> build(const MercuryData& data, const S& celsius = S(40)) {
  Check{data.tube.type}.between("condensed mercury", celsius, -38.0, 400.0, "degrees Celsius");
  const TubeData& d = data.tube;
  const S ice = S(constants::ice_point), buffer = S(data.buffer_pressure.value);
  const S reference = S(S(data.reference_temperature.value) + ice), now = S(celsius + ice);
  auto laws = laws_of<MercuryLaws<S>>(d);
  laws.ignition = mercury_ignition(kneed_line<S>(d), reference, now, S(data.shift_per_fold.value), buffer);
  laws.arc.inner = {.pressure = laws.ignition.pressure,
                    .drop = S(d.arc_drop.value),
                    .resistance = S(d.arc_resistance.value),
                    .per_fold = S(data.drop_per_fold.value),
                    .reference_pressure = laws.ignition.reference_pressure,
                    .least = S(d.arc_drop_least.value)};
  laws.recovery = {.pressure = laws.ignition.pressure,
                   .gap = S(data.grid_plate_gap.value),
                   .plasma = S(d.plasma_potential.value),
                   .reference_current = S(d.deionisation_reference_current.value),
                   .smoothing = S(1e-6)};
  return MercuryTube<S>(laws, d.type);
}

namespace detail {
/// A mercury tube of which nothing is published yet.
constexpr TubeData assumed_mercury_tube(const char* type) {
  TubeData d = assumed_rare_gas_tube(type, gas::mercury);
  d.arc_drop = recollected(15.0);
  d.arc_drop_least = recollected(10.0);
  d.arc_drop_greatest = recollected(24.0);
  d.arc_resistance = assumed(0.5);
  d.disintegration = handbook(22.0);
  d.sustaining_current = assumed(0.05);
  d.sustaining_least = assumed(0.01);
  d.sustaining_greatest = assumed(0.2);
  d.shield_ratio = worked_out(0.0, "a triode has no shield grid");
  d.critical_grid_current = plausible(10e-6);
  d.ionisation_time_least = seen(0.3e-6, "Ionization time of thyratrons, AIEE, about 1940, abstract");
  d.ionisation_time_product = assumed(10e-6, "assumed here from a rating of 10 us near the critical voltage");
  d.band_at_zero = assumed(1.5);
  d.band_per_volt = assumed(1e-3);
  d.electron_perveance = assumed(2e-5);
  d.plate_ions = assumed(1e-3);
  d.grid_plate_capacitance = assumed(4e-12, "assumed here: a large tube without a shield grid");
  d.input_capacitance = assumed(8e-12);
  d.output_capacitance = assumed(1e-12);
  d.shield_plate_capacitance = worked_out(0.0, "a triode has no shield grid");
  d.grid_shield_capacitance = worked_out(0.0, "a triode has no shield grid");
  return d;
}
constexpr MercuryData with_mercury(const TubeData& tube) {
  return {.tube = tube,
          .reference_temperature = assumed(40.0, "assumed here: the lower end of the published range"),
          .condensed_low = not_published,
          .condensed_high = not_published,
          .drop_per_fold = assumed(1.5, "weakly recollected: 15 V at 40 C, 4 V less at 80 C"),
          .shift_per_fold = assumed(0.5, "volts from 40 to 80 C, weakly recollected"),
          .buffer_pressure = worked_out(0.0, "no rare gas added"),
          .grid_plate_gap = assumed(5e-3)};
}

/// Half an ampere at 2500 V.
constexpr MercuryData entry_5557() {
  TubeData d = assumed_mercury_tube("5557");
  d.heater_voltage = handbook(2.5);
  d.heater_current = handbook(5.0);
  d.heating_time = handbook(5.0);
  d.heating_time_constant = assumed(1.7);
  d.peak_forward = handbook(2500.0);
  d.peak_inverse = handbook(5000.0);
  d.peak_current = handbook(2.0);
  d.average_current = handbook(0.5);
  d.averaging_time = plausible(15.0);
  d.fault_current = recollected(20.0);
  d.fault_time = recollected(0.1);
  d.grid_negative_before = handbook(500.0);
  d.grid_negative_during = handbook(10.0);
  d.grid_current = plausible(0.05);
  d.grid_resistance = recollected(0.5e6);
  d.arc_drop = handbook(16.0);
  d.arc_drop_least = handbook(10.0);
  d.arc_drop_greatest = handbook(24.0);
  d.emission = assumed(20.0, "assumed here: ten times the peak rating");
  d.control_ratio = fitted(333.0);
  d.line_intercept = fitted(-0.5);
  d.knee_rise = fitted(1.4);
  d.deionisation_time = handbook(1000e-6);
  d.deionisation_reference_current = assumed(0.5);
  d.reverse_breakdown = assumed(7500.0, "assumed here: 1.5 times the inverse rating");
  MercuryData m = with_mercury(d);
  m.condensed_low = handbook(40.0);
  m.condensed_high = handbook(80.0);
  return m;
}
/// Two and a half amperes at 1000 V, indirectly heated.
constexpr MercuryData entry_5559() {
  TubeData d = assumed_mercury_tube("5559");
  d.heater_voltage = handbook(5.0);
  d.heater_current = handbook(4.5);
  d.heating_time = handbook(300.0);
  d.heating_time_constant = assumed(100.0);
  d.peak_forward = handbook(1000.0);
  d.peak_inverse = handbook(1000.0);
  d.peak_current = handbook(15.0);
  d.average_current = handbook(2.5);
  d.averaging_time = handbook(15.0);
  d.fault_current = handbook(200.0);
  d.fault_time = handbook(0.1);
  d.grid_negative_before = handbook(500.0);
  d.grid_negative_during = handbook(10.0);
  d.grid_current = plausible(0.25);
  d.grid_resistance = recollected(0.1e6);
  d.arc_drop = handbook(16.0);
  d.arc_drop_least = handbook(10.0);
  d.arc_drop_greatest = handbook(24.0);
  d.emission = assumed(150.0, "assumed here: ten times the peak rating");
  d.control_ratio = fitted(143.0);
  d.line_intercept = fitted(0.0);
  d.knee_rise = fitted(1.2);
  d.deionisation_time = handbook(1000e-6);
  d.deionisation_reference_current = assumed(2.5);
  d.reverse_breakdown = assumed(1500.0, "assumed here: 1.5 times the inverse rating");
  MercuryData m = with_mercury(d);
  m.condensed_low = handbook(40.0);
  m.condensed_high = handbook(80.0);
  return m;
}
/// 0.64 A at 1250 V, indirectly heated; all figures weakly recollected.
constexpr MercuryData entry_627() {
  TubeData d = assumed_mercury_tube("627");
  d.heater_voltage = recollected(2.5);
  d.heater_current = recollected(6.0);
  d.peak_forward = recollected(1250.0);
  d.peak_inverse = recollected(2500.0);
  d.peak_current = recollected(2.5);
  d.average_current = recollected(0.64);
  d.averaging_time = recollected(15.0);
  d.emission = assumed(25.0, "assumed here: ten times the peak rating");
  d.control_ratio = assumed(200.0);
  d.line_intercept = assumed(0.0);
  d.deionisation_reference_current = assumed(0.64);
  d.reverse_breakdown = assumed(3750.0, "assumed here: 1.5 times the inverse rating");
  MercuryData m = with_mercury(d);
  m.condensed_low = recollected(20.0);
  m.condensed_high = recollected(80.0);
  return m;
}
/// With argon added, from the cold to the hot.
constexpr MercuryData mercury_argon(const TubeData& tube) {
  MercuryData m = with_mercury(tube);
  m.buffer_pressure = assumed(10.0, "assumed here: enough argon to start the tube cold");
  return m;
}
constexpr MercuryData entry_393_a() {
  TubeData d = assumed_mercury_tube("393A");
  d.heater_voltage = plausible(2.5);
  d.heater_current = plausible(7.0);
  d.heating_time = plausible(15.0);
  d.heating_time_constant = assumed(5.0);
  d.peak_forward = plausible(1250.0);
  d.peak_inverse = plausible(1250.0);
  d.peak_current = plausible(6.0);
  d.average_current = plausible(1.5);
  d.averaging_time = recollected(5.0);
  d.ambient_low = plausible(-40.0);
  d.ambient_high = plausible(80.0);
  d.emission = assumed(60.0, "assumed here: ten times the peak rating");
  d.control_ratio = assumed(150.0);
  d.line_intercept = assumed(0.0);
  d.deionisation_reference_current = assumed(1.5);
  d.reverse_breakdown = assumed(1875.0, "assumed here: 1.5 times the inverse rating");
  return mercury_argon(d);
}
constexpr MercuryData entry_394_a() {
  TubeData d = assumed_mercury_tube("394A");
  d.also_known_as = {"CV2639", nullptr, nullptr};
  d.heater_voltage = plausible(2.5);
  d.heater_current = plausible(3.2);
  d.heating_time = seen(30.0, "public tube-catalogue entry on 394A");
  d.heating_time_constant = assumed(10.0);
  d.peak_forward = plausible(1250.0);
  d.peak_inverse = plausible(1250.0);
  d.peak_current = plausible(2.5);
  d.average_current = plausible(0.64);
  d.averaging_time = recollected(5.0);
  d.ambient_low = plausible(-40.0);
  d.ambient_high = plausible(80.0);
  d.emission = assumed(25.0, "assumed here: ten times the peak rating");
  d.control_ratio = assumed(150.0);
  d.line_intercept = assumed(0.0);
  d.deionisation_reference_current = assumed(0.64);
  d.reverse_breakdown = assumed(1875.0, "assumed here: 1.5 times the inverse rating");
  return mercury_argon(d);
}
}  // namespace detail

/// Every mercury tube; a new one is one more entry.
inline constexpr std::array mercury_tubes{detail::entry_5557(), detail::entry_5559(), detail::entry_627(),
                                          detail::entry_393_a(), detail::entry_394_a()};

inline constexpr const MercuryData& data_5557 = of(mercury_tubes, "5557");
inline constexpr const MercuryData& data_5559 = of(mercury_tubes, "5559");

/// Tubes at the middle of their data, by the temperature of the condensed mercury in degrees Celsius.
template <Real S = double>
[[nodiscard]] MercuryTube<S> type_5557(const S& celsius = S(40)) {
  return build<S>(data_5557, celsius);
}
template <Real S = double>
[[nodiscard]] MercuryTube<S> type_5559(const S& celsius = S(40)) {
  return build<S>(data_5559, celsius);
}

}  // namespace gastube::catalogue
