// SPDX-License-Identifier: MIT
#pragma once
/// Turns published data into a tube: the laws of a rare-gas triode or tetrode with a hot cathode.

#include "gastube/catalogue/tube_data.hpp"
#include "gastube/tube/family/thyratron.hpp"

namespace gastube::catalogue {

/// Laws of a rare-gas hot-cathode tube.
template <Real S>
struct RareGasLaws {
  using Scalar = S;
  KneedLine<S> ignition;
  ShieldShift<S> shield;
  FormativeLag<S> delay;
  LinearDrop<S> arc;
  PlateFall<S> fall;
  SustainingCurrent<S> sustaining;
  SheathAfterglow<S> recovery;
  ProbeGrid<S> grid;
  SpaceChargeCurrent<S> electrons;
  WarmingCathode<S> cathode;
  ArcBack<S> inverse;
  TubeCapacitances<S> capacitances;
  Ratings<S> ratings;
};

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

/// A tube at the middle of its published data. @throws InvalidParameter if the data contradict a law's range
template <Real S = double>
[[nodiscard]] RareGasTube<S> build(const TubeData& d) {
  const S ionisation = S(d.fill->ionisation.value);
  return RareGasTube<S>(
      {.ignition = {.line = {S(d.control_ratio.value), S(d.line_intercept.value), S(0)},
                    .knee = {ionisation, S(d.knee_rise.value), S(knee_plate)}},
       .shield = {S(d.shield_ratio.value / d.control_ratio.value)},
       .delay = {S(d.ionisation_time_least.value), S(d.ionisation_time_product.value)},
       .arc = {S(d.arc_drop.value), S(d.arc_resistance.value)},
       .fall = {S(d.plate_fall.value)},
       .sustaining = {S(d.sustaining_current.value)},
       .recovery = {S(d.deionisation_constant.value), S(d.deionisation_time.value),
                    S(d.deionisation_reference_current.value), S(deionisation_bias)},
       .grid = {S(d.grid_perveance.value), S(d.grid_leakage.value), S(d.critical_grid_current.value), ionisation,
                S(d.ion_share.value), S(d.ion_share.value * d.deionisation_reference_current.value),
                S(d.plasma_potential.value), S(d.plasma_resistance.value)},
       // The control line starts where the effective voltage at the cathode is zero, and a volt on the shield grid is
       // worth as many volts on the grid here as in ignition.
       .electrons = {S(d.electron_perveance.value), S(d.control_ratio.value),
                     S(d.control_ratio.value / d.shield_ratio.value), S(-d.line_intercept.value)},
       .cathode = {S(d.heating_time.value), S(d.heating_time_constant.value)},
       .inverse = {S(d.reverse_breakdown.value), S(d.reverse_drop.value)},
       .capacitances = {S(d.grid_plate_capacitance.value), S(d.input_capacitance.value), S(d.output_capacitance.value)},
       .ratings = ratings_of<S>(d)},
      d.type);
}

}  // namespace gastube::catalogue
