// SPDX-License-Identifier: MIT
#pragma once
/// Turns published data into a tube: the laws of a rare-gas triode or tetrode with a hot cathode.

#include "gastube/catalogue/tube_data.hpp"
#include "gastube/tube/arc/emission_limit.hpp"
#include "gastube/tube/family/thyratron.hpp"
#include "gastube/tube/recovery/sheath_afterglow.hpp"

namespace gastube::catalogue {

/// Laws of a catalogued tube with a hot cathode; the fill decides on ignition, arc and recovery.
template <Real S, class Ignition, class Arc, class Recovery>
struct HotCathodeLaws {
  using Scalar = S;
  Ignition ignition;
  ShieldShift<S> shield;
  FormativeLag<S> delay;
  EmissionLimitedDrop<Arc, S> arc;
  PlateFall<S> fall;
  SustainingCurrent<S> sustaining;
  Recovery recovery;
  ProbeGrid<S> grid;
  SpaceChargeCurrent<S> electrons;
  AfterglowCurrent<S> afterglow;
  WarmingCathode<S> cathode;
  ArcBack<S> inverse;
  TubeCapacitances<S> capacitances;
  Ratings<S> ratings;
};

template <Real S>
using RareGasLaws = HotCathodeLaws<S, KneedLine<S>, LinearDrop<S>, SheathAfterglow<S>>;
template <Real S = double>
using RareGasTube = Thyratron<RareGasLaws<S>>;

/// Plate voltage at which the knee's rise is stated, V.
inline constexpr double knee_plate = 50.0;
/// Bias at which the deionisation time is stated, V below the cathode.
inline constexpr double deionisation_bias = 10.0;

template <Real S>
[[nodiscard]] Ratings<S> ratings_of(const TubeData& d) {
  return {.peak_forward = S(d.peak_forward.value),
          .peak_inverse = S(d.peak_inverse.value),
          .peak_current = S(d.peak_current.value),
          .average_current = S(d.average_current.value),
          .averaging_time = S(d.averaging_time.value),
          .fault_current = S(d.fault_current.value),
          .fault_time = S(d.fault_time.value),
          .grid_negative_before = S(d.grid_negative_before.value),
          .grid_negative_during = S(d.grid_negative_during.value),
          .shield_negative_before = S(d.shield_negative_before.value),
          .shield_negative_during = S(d.shield_negative_during.value),
          .grid_current = S(d.grid_current.value),
          .grid_resistance = S(d.grid_resistance.value),
          .heater_positive = S(d.heater_positive.value),
          .heater_negative = S(d.heater_negative.value),
          .heating_time = S(d.heating_time.value),
          .ambient_low = S(d.ambient_low.value),
          .ambient_high = S(d.ambient_high.value)};
}

/// The band in which the ignition of single tubes lies.
template <Real S = double>
[[nodiscard]] IgnitionBand<S> ignition_band(const TubeData& d) {
  return {S(d.band_at_zero.value), S(d.band_per_volt.value), S(d.band_of_knee.value)};
}

/// The laws that do not depend on the kind of fill; ignition, arc and recovery are left to be filled in.
template <class Laws>
[[nodiscard]] Laws laws_of(const TubeData& d) {
  using S = typename Laws::Scalar;
  const S ionisation = S(d.fill->ionisation.value);
  const bool triode = !(d.shield_ratio.value > 0);
  Laws laws{};
  laws.shield = {S(d.shield_ratio.value / d.control_ratio.value)};
  laws.delay = {S(d.ionisation_time_least.value), S(d.ionisation_time_product.value)};
  laws.arc.emission = S(d.emission.value);
  laws.arc.resistance = S(d.emission_slope.value);
  laws.arc.disintegration = S(d.disintegration.value);
  laws.fall = {S(d.plate_fall.value)};
  laws.sustaining = {S(d.sustaining_current.value)};
  laws.grid = {S(d.grid_perveance.value),
               S(d.grid_leakage.value),
               S(d.critical_grid_current.value),
               ionisation,
               S(d.ion_share.value),
               S(d.ion_share.value * d.deionisation_reference_current.value),
               S(d.plasma_potential.value),
               S(d.plasma_resistance.value)};
  // The control line starts where the effective voltage at the cathode is zero, and a volt on the shield grid is worth
  // as many volts on the grid here as in ignition.
  laws.electrons = {S(d.electron_perveance.value), S(d.control_ratio.value),
                    triode ? unlimited<S>() : S(d.control_ratio.value / d.shield_ratio.value),
                    S(-d.line_intercept.value)};
  laws.afterglow = {S(d.plate_ions.value)};
  laws.cathode = {S(d.heating_time.value), S(d.heating_time_constant.value)};
  laws.inverse = {S(d.reverse_breakdown.value), S(d.reverse_drop.value)};
  laws.capacitances = {S(d.grid_plate_capacitance.value),
                       S(d.input_capacitance.value - d.grid_shield_capacitance.value),
                       S(d.output_capacitance.value - d.shield_plate_capacitance.value),
                       S(d.shield_plate_capacitance.value), S(d.grid_shield_capacitance.value)};
  laws.ratings = ratings_of<S>(d);
  return laws;
}

/// The control line with its knee, at the middle of the data.
template <Real S>
[[nodiscard]] KneedLine<S> kneed_line(const TubeData& d) {
  return {.line = {S(d.control_ratio.value), S(d.line_intercept.value), S(0)},
          .knee = {S(d.fill->ionisation.value), S(d.knee_rise.value), S(knee_plate)}};
}
template <Real S>
[[nodiscard]] SheathAfterglow<S> sheath_afterglow(const TubeData& d) {
  return {S(d.deionisation_constant.value), S(d.deionisation_time.value), S(d.deionisation_reference_current.value),
          S(deionisation_bias)};
}

/// A rare-gas tube at the middle of its published data. @throws InvalidParameter if the data contradict a law's range
template <Real S = double>
[[nodiscard]] RareGasTube<S> build(const TubeData& d) {
  auto laws = laws_of<RareGasLaws<S>>(d);
  laws.ignition = kneed_line<S>(d);
  laws.arc.inner = {S(d.arc_drop.value), S(d.arc_resistance.value)};
  laws.recovery = sheath_afterglow<S>(d);
  return RareGasTube<S>(laws, d.type);
}

/// A tube of which nothing is published yet: no ratings, and orders of magnitude of small rare-gas tetrodes for the
/// laws. An entry overrides what is known.
[[nodiscard]] constexpr TubeData assumed_rare_gas_tube(const char* type, const Gas& fill) {
  return {
      .type = type,
      .also_known_as = {},
      .fill = &fill,
      .heater_voltage = assumed(6.3),
      .heater_current = assumed(0.6),
      .heating_time = assumed(10.0),
      .heating_time_constant = assumed(3.3),
      .peak_forward = not_published,
      .peak_inverse = not_published,
      .peak_current = not_published,
      .average_current = not_published,
      .averaging_time = assumed(30.0),
      .fault_current = not_published,
      .fault_time = assumed(0.1),
      .grid_negative_before = not_published,
      .grid_negative_during = not_published,
      .shield_negative_before = not_published,
      .shield_negative_during = not_published,
      .grid_current = not_published,
      .grid_resistance = not_published,
      .heater_positive = not_published,
      .heater_negative = not_published,
      .ambient_low = {-273.0, Confidence::unverified, "not published or not found"},
      .ambient_high = not_published,
      .arc_drop = assumed(10.0),
      .arc_drop_least = assumed(7.0),
      .arc_drop_greatest = assumed(10.0),
      .arc_resistance = assumed(2.0),
      .emission = assumed(5.0, "assumed here: some times the peak rating"),
      .emission_slope = assumed(100.0),
      .disintegration = assumed(22.0, "assumed here: 20 to 25 V is said of gas tubes in general"),
      .commutation_factor = not_published,
      .plate_fall = assumed(50e-9),
      .sustaining_current = assumed(3e-3),
      .sustaining_least = assumed(1e-3),
      .sustaining_greatest = assumed(10e-3),
      .control_ratio = assumed(250.0),
      .shield_ratio = assumed(1000.0),
      .line_intercept = fitted(-1.4),
      .knee_rise = fitted(0.8),
      .band_at_zero = fitted(0.65),
      .band_per_volt = fitted(0.55e-3),
      .band_of_knee = assumed(0.5),
      .critical_grid_current = assumed(0.5e-6),
      .ionisation_time_least = assumed(0.3e-6, "least time seen in mercury tubes, taken over"),
      .ionisation_time_product = assumed(10.3e-6),
      .deionisation_time = assumed(75e-6),
      .deionisation_constant = assumed(11.6e-6),
      .deionisation_reference_current = assumed(0.1),
      .deionisation_strong_bias = not_published,
      .deionisation_time_strong = not_published,
      .electron_perveance = assumed(5e-6),
      .grid_perveance = assumed(2e-5),
      .grid_leakage = assumed(1e-9),
      .ion_share = assumed(5e-4),
      .plate_ions = assumed(1e-4),
      .plasma_potential = assumed(8.0),
      .plasma_resistance = assumed(1e3),
      .reverse_breakdown = assumed(2000.0),
      .reverse_drop = assumed(20.0),
      .grid_plate_capacitance = assumed(0.03e-12),
      .input_capacitance = assumed(2.4e-12),
      .output_capacitance = assumed(1.6e-12),
      .shield_plate_capacitance = assumed(1.0e-12, "assumed here: most of the output capacitance"),
      .grid_shield_capacitance = assumed(1.0e-12, "assumed here: part of the input capacitance"),
  };
}

}  // namespace gastube::catalogue
