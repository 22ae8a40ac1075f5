// SPDX-License-Identifier: MIT
#pragma once
/// Hydrogen-filled pulse triodes with positive grid. Registered type designations only.
///
/// Kilovolts and hundreds of amperes, and lines charged to them: high voltage and stored charge kill, and above some
/// 15 kV X-rays are to be expected. Keep to the rules where you live, and leave such work to those trained for it.
///
/// Grid breakdown, self-breakdown and capacitances are assumed; safe to rely on are ratings and trigger.

#include "gastube/catalogue/hot_cathode.hpp"
#include "gastube/tube/delay/jitter.hpp"
#include "gastube/tube/ignition/positive_grid.hpp"
#include "gastube/tube/ratings/pulse_ratings.hpp"

namespace gastube::catalogue {

/// Data of a hydrogen tube.
struct HydrogenData {
  TubeData tube;
  Datum least_trigger;                ///< V, unloaded peak of the grid pulse that fires every tube
  Datum driver_impedance;             ///< ohm, greatest of the grid pulse's source
  Datum grid_breakdown;               ///< V, at which the middle tube's grid-cathode space breaks down
  Datum self_breakdown;               ///< V, plate voltage that fires with the grid at the cathode
  Datum least_plate;                  ///< V, below which the plate does not take over
  Datum delay_least, delay_greatest;  ///< s, from trigger to plate current
  Datum jitter;                       ///< s, from pulse to pulse
  Datum breakdown_factor;             ///< V A/s
  Datum rms_current;                  ///< A
  Datum current_rise;                 ///< A/s
  Datum inverse_after;                ///< V, in the first 25 us after the pulse
  Datum exempt_spike;                 ///< s, of inverse voltage that does not count
  const char* type = tube.type;
  std::array<const char*, 3> also_known_as = tube.also_known_as;
};

/// Calls f(name, unit, datum) for every field, in the order of a data sheet.
template <class Function>
constexpr void for_each_field(const HydrogenData& d, Function&& f) {
  for_each_field(d.tube, f);
  f("least trigger, unloaded", "V", d.least_trigger);
  f("driver impedance", "ohm", d.driver_impedance);
  f("grid breakdown", "V", d.grid_breakdown);
  f("self-breakdown", "V", d.self_breakdown);
  f("least plate voltage", "V", d.least_plate);
  f("least delay", "s", d.delay_least);
  f("greatest delay", "s", d.delay_greatest);
  f("jitter", "s", d.jitter);
  f("plate breakdown factor", "V A/s", d.breakdown_factor);
  f("rms current", "A", d.rms_current);
  f("rate of rise of current", "A/s", d.current_rise);
  f("inverse voltage within 25 us after the pulse", "V", d.inverse_after);
  f("inverse spike that does not count", "s", d.exempt_spike);
}

template <Real S>
using HydrogenLaws = HotCathodeLaws<S, PositiveGrid<S>, LinearDrop<S>, SheathAfterglow<S>>;
template <Real S = double>
using HydrogenTube = Thyratron<HydrogenLaws<S>>;

/// A hydrogen tube at the middle of its published data. @throws InvalidParameter if they contradict a law's range
template <Real S = double>
[[nodiscard]] HydrogenTube<S> build(const HydrogenData& data) {
  const TubeData& d = data.tube;
  auto laws = laws_of<HydrogenLaws<S>>(d);
  laws.ignition = {S(data.grid_breakdown.value), S(data.self_breakdown.value), S(data.least_plate.value)};
  laws.arc.inner = {S(d.arc_drop.value), S(d.arc_resistance.value)};
  laws.recovery = sheath_afterglow<S>(d);
  return HydrogenTube<S>(laws, d.type);
}

template <Real S = double>
[[nodiscard]] PulseRatings<S> pulse_ratings(const HydrogenData& d) {
  return {.peak_forward = S(d.tube.peak_forward.value),
          .peak_current = S(d.tube.peak_current.value),
          .average_current = S(d.tube.average_current.value),
          .rms_current = S(d.rms_current.value),
          .breakdown_factor = S(d.breakdown_factor.value),
          .current_rise = S(d.current_rise.value),
          .peak_inverse = S(d.tube.peak_inverse.value),
          .inverse_after = S(d.inverse_after.value),
          .exempt_spike = S(d.exempt_spike.value)};
}

/// Spread of the delay from pulse to pulse, about the middle of the published delays.
template <Real S = double>
[[nodiscard]] FiringJitter<S> firing_jitter(const HydrogenData& d) {
  return {.lag = S(0.5 * (d.delay_least + d.delay_greatest)), .spread = S(d.jitter.value)};
}

namespace detail {
inline constexpr const char* inverse_rule = "data sheet of an 8 kV glass hydrogen tube, page 2, for its class";
inline constexpr const char* spike_rule = "MIL-PRF-1/1612 and data sheet of an 8 kV glass hydrogen tube";

constexpr TubeData pulse_triode(const char* type) {
  TubeData d = assumed_rare_gas_tube(type, gas::hydrogen);
  d.heater_voltage = handbook(6.3);
  d.averaging_time = assumed(1.0);
  d.ambient_low = plausible(-50.0);
  d.ambient_high = plausible(90.0);
  d.arc_resistance = assumed(0.2);
  d.emission_slope = assumed(1.0);
  d.disintegration = assumed(600.0, "assumed here; the drop of pulse tubes is far above that of dc tubes");
  d.plate_fall = worked_out(20e-9, "a fall from 90 to 10 % in 44 ns, in the middle of 10 to 100 ns");
  d.sustaining_current = assumed(0.1);
  d.sustaining_least = assumed(0.03);
  d.sustaining_greatest = assumed(0.5);
  d.control_ratio = assumed(300.0);
  d.shield_ratio = worked_out(0.0, "a triode has no shield grid");
  d.line_intercept = assumed(0.0);
  d.knee_rise = assumed(0.0, "assumed 0: fires by grid breakdown, not by a control line");
  d.band_at_zero = assumed(40.0);
  d.band_per_volt = assumed(0.0);
  d.critical_grid_current = assumed(0.0, "assumed 0: before the grid breaks down only electrons reach it");
  d.ionisation_time_product = assumed(5e-6);
  d.electron_perveance = assumed(0.0, "assumed 0: baffled, no electrons reach the plate before ignition");
  d.grid_perveance = assumed(1e-6);
  d.ion_share = assumed(1e-4);
  d.plate_ions = assumed(1e-3);
  d.plasma_potential = assumed(40.0);
  d.plasma_resistance = assumed(10.0);
  d.reverse_drop = assumed(100.0);
  d.grid_plate_capacitance = assumed(2e-12);
  d.input_capacitance = assumed(15e-12);
  d.output_capacitance = assumed(1e-12);
  d.shield_plate_capacitance = worked_out(0.0, "a triode has no shield grid");
  d.grid_shield_capacitance = worked_out(0.0, "a triode has no shield grid");
  return d;
}
/// What tubes of one size have in common; the rest is set by the entry.
struct PulseSize {
  double forward, peak, average, rms, factor, rise, trigger, driver;
  Datum inverse_after, drop, delay_least, delay_greatest, jitter, recovery;
};
constexpr HydrogenData pulse_tube(TubeData d, const PulseSize& size) {
  d.peak_forward = handbook(size.forward);
  d.peak_inverse = handbook(size.forward);
  d.peak_current = handbook(size.peak);
  d.average_current = handbook(size.average);
  d.arc_drop = size.drop;
  d.arc_drop_least = assumed(0.7 * size.drop.value);
  d.arc_drop_greatest = assumed(1.4 * size.drop.value);
  d.emission = assumed(3 * size.peak, "assumed here: three times the peak rating");
  d.ionisation_time_least = worked_out(0.8 * size.delay_least.value, "so that a rated trigger gives the rated delay");
  d.deionisation_time = size.recovery;
  d.deionisation_constant = assumed(size.recovery.value / 6);
  d.deionisation_reference_current = assumed(size.peak, "assumed here: the rated peak");
  d.reverse_breakdown = assumed(1.5 * size.forward, "assumed here: 1.5 times the inverse rating");
  return {.tube = d,
          .least_trigger = handbook(size.trigger),
          .driver_impedance = plausible(size.driver),
          .grid_breakdown = assumed(0.6 * size.trigger, "assumed here: 0.6 times the guaranteed trigger"),
          .self_breakdown = assumed(1.5 * size.forward, "assumed here: 1.5 times the forward rating"),
          .least_plate = assumed(0.1 * size.forward, "assumed here: a tenth of the forward rating"),
          .delay_least = size.delay_least,
          .delay_greatest = size.delay_greatest,
          .jitter = size.jitter,
          .breakdown_factor = handbook(size.factor),
          .rms_current = worked_out(size.rms, "root of average times peak current, the rule of MIL-PRF-1/1612"),
          .current_rise = plausible(size.rise),
          .inverse_after = size.inverse_after,
          .exempt_spike = seen(0.05e-6, spike_rule)};
}
constexpr PulseSize size_3_kv() {
  return {.forward = 3e3,
          .peak = 35.0,
          .average = 0.045,
          .rms = 1.25,
          .factor = 0.3e9,
          .rise = 750e6,
          .trigger = 175.0,
          .driver = 1500.0,
          .inverse_after = recollected(1.5e3),
          .drop = recollected(100.0),
          .delay_least = plausible(0.4e-6),
          .delay_greatest = plausible(0.6e-6),
          .jitter = plausible(0.02e-6),
          .recovery = recollected(10e-6)};
}
constexpr HydrogenData entry_3c45(const char* type) {
  TubeData d = pulse_triode(type);
  d.heater_current = handbook(2.25);
  d.heating_time = handbook(120.0);
  d.heating_time_constant = assumed(40.0);
  return pulse_tube(d, size_3_kv());
}
constexpr HydrogenData entry_4c35() {
  TubeData d = pulse_triode("4C35");
  d.heater_current = handbook(6.1);
  d.heating_time = handbook(180.0);
  d.heating_time_constant = assumed(60.0);
  return pulse_tube(d, {.forward = 8e3,
                        .peak = 90.0,
                        .average = 0.1,
                        .rms = 3.0,
                        .factor = 2.0e9,
                        .rise = 1000e6,
                        .trigger = 175.0,
                        .driver = 1500.0,
                        .inverse_after = seen(2.5e3, inverse_rule),
                        .drop = recollected(80.0),
                        .delay_least = plausible(0.6e-6),
                        .delay_greatest = plausible(1.0e-6),
                        .jitter = plausible(0.02e-6),
                        .recovery = recollected(15e-6)});
}
constexpr HydrogenData entry_5c22() {
  TubeData d = pulse_triode("5C22");
  d.heater_current = handbook(10.6);
  d.heating_time = handbook(300.0);
  d.heating_time_constant = assumed(100.0);
  return pulse_tube(d, {.forward = 16e3,
                        .peak = 325.0,
                        .average = 0.2,
                        .rms = 8.06,
                        .factor = 3.2e9,
                        .rise = 1500e6,
                        .trigger = 200.0,
                        .driver = 500.0,
                        .inverse_after = plausible(5e3),
                        .drop = recollected(110.0),
                        .delay_least = plausible(1.0e-6),
                        .delay_greatest = plausible(1.0e-6),
                        .jitter = plausible(0.02e-6),
                        .recovery = recollected(30e-6)});
}
}  // namespace detail

/// Every hydrogen tube; a new one is one more entry.
inline constexpr std::array hydrogen_tubes{detail::entry_3c45("3C45"), detail::entry_3c45("6130"), detail::entry_4c35(),
                                           detail::entry_5c22()};

inline constexpr const HydrogenData& data_4c35 = of(hydrogen_tubes, "4C35");

/// A tube at the middle of its data.
template <Real S = double>
[[nodiscard]] HydrogenTube<S> type_4c35() {
  return build<S>(data_4c35);
}

}  // namespace gastube::catalogue
