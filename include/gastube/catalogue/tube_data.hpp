// SPDX-License-Identifier: MIT
#pragma once
/// What is published of a gas tube with a hot cathode, each value with its source and confidence.

#include "gastube/gas/species.hpp"
#include "gastube/support/checked.hpp"
#include "gastube/support/provenance.hpp"

#include <array>
#include <cstddef>
#include <string_view>

namespace gastube::catalogue {

using Datum = Sourced<double>;

/// No limit known or none published.
inline constexpr Datum not_published{unlimited<double>(), Confidence::unverified, "not published or not found"};

/// Values by the strength of their source.
constexpr Datum seen(double value, const char* source) { return {value, Confidence::published, source}; }
constexpr Datum handbook(double value) { return {value, Confidence::handbook, "tube handbooks of the 1940s to 1960s"}; }
constexpr Datum plausible(double value) {
  return {value, Confidence::plausible, "tube handbooks of the 1940s to 1960s"};
}
constexpr Datum recollected(double value) { return {value, Confidence::unverified, "weak recollection of a handbook"}; }
constexpr Datum fitted(double value) {
  return {value, Confidence::unverified, "fitted here to a recollected firing curve"};
}
constexpr Datum assumed(double value, const char* reason = "assumed here; order of magnitude of such tubes") {
  return {value, Confidence::unverified, reason};
}
constexpr Datum worked_out(double value, const char* from) { return {value, Confidence::derived, from}; }

/// The entry of a list of tubes by its designation or one of its equivalents. Unknown designations do not compile, or
/// throw InvalidRequest.
template <class Data, std::size_t N>
[[nodiscard]] constexpr const Data& of(const std::array<Data, N>& tubes, std::string_view designation) {
  for (const Data& data : tubes) {
    if (designation == data.type) return data;
    for (const char* other : data.also_known_as)
      if (other && designation == other) return data;
  }
  gastube::detail::raise(InvalidRequest("no tube of that designation in this list"));
}

/// Data of one type. SI units; voltages of grids and heater against the cathode, negative ones as positive numbers.
struct TubeData {
  const char* type;                          ///< registered designation
  std::array<const char*, 3> also_known_as;  ///< registered equivalents, null where there are fewer
  const Gas* fill;

  Datum heater_voltage;         ///< V
  Datum heater_current;         ///< A
  Datum heating_time;           ///< s
  Datum heating_time_constant;  ///< s, of emission

  Datum peak_forward, peak_inverse;                      ///< V
  Datum peak_current, average_current;                   ///< A
  Datum averaging_time;                                  ///< s
  Datum fault_current, fault_time;                       ///< A, s
  Datum grid_negative_before, grid_negative_during;      ///< V
  Datum shield_negative_before, shield_negative_during;  ///< V
  Datum grid_current;                                    ///< A, average positive
  Datum grid_resistance;                                 ///< ohm, greatest in the grid lead
  Datum heater_positive, heater_negative;                ///< V
  Datum ambient_low, ambient_high;                       ///< degrees Celsius

  Datum arc_drop, arc_drop_least, arc_drop_greatest;  ///< V
  Datum arc_resistance;                               ///< ohm
  Datum emission;                                     ///< A, that the cathode can give
  Datum emission_slope;                               ///< ohm, rise of the drop beyond the emission
  Datum disintegration;                               ///< V, drop at which ions destroy the cathode
  Datum commutation_factor;  ///< V A/s^2, greatest product of current fall and inverse voltage rise
  Datum plate_fall;          ///< s, time constant of the plate's fall to the arc drop; 0: at once
  Datum sustaining_current, sustaining_least, sustaining_greatest;  ///< A

  Datum control_ratio, shield_ratio;  ///< V of plate per V of grid, and per V of shield grid
  Datum line_intercept;               ///< V, of the control line at zero plate voltage
  Datum knee_rise;                    ///< V, of the low-voltage knee at 50 V on the plate
  Datum band_at_zero, band_per_volt;  ///< V, V/V, half-width of the ignition band
  Datum band_of_knee;                 ///< share of the knee's lift that is uncertain
  Datum critical_grid_current;        ///< A

  Datum ionisation_time_least;           ///< s
  Datum ionisation_time_product;         ///< V s
  Datum deionisation_time;               ///< s, at 10 V of negative grid and the reference current
  Datum deionisation_constant;           ///< s, time constant of the residual ionisation
  Datum deionisation_reference_current;  ///< A
  Datum deionisation_strong_bias;        ///< V below the cathode, of a second published time
  Datum deionisation_time_strong;        ///< s, at that bias

  Datum electron_perveance;  ///< A/V^1.5, plate current before ignition
  Datum grid_perveance;      ///< A/V^1.5, positive grid before ignition
  Datum grid_leakage;        ///< S
  Datum ion_share;           ///< A of grid ion current per A of plate current
  Datum plate_ions;          ///< A to a negative plate just after the reference current
  Datum plasma_potential;    ///< V
  Datum plasma_resistance;   ///< ohm, of a grid driven above the plasma
  Datum reverse_breakdown;   ///< V, where the tube arcs back
  Datum reverse_drop;        ///< V

  Datum grid_plate_capacitance, input_capacitance, output_capacitance;  ///< F, shield grid at the cathode
  Datum shield_plate_capacitance, grid_shield_capacitance;              ///< F, within the two before
};

/// Calls f(name, unit, datum) for every field, in the order of a data sheet.
template <class Function>
constexpr void for_each_field(const TubeData& d, Function&& f) {
  f("heater voltage", "V", d.heater_voltage);
  f("heater current", "A", d.heater_current);
  f("heating time", "s", d.heating_time);
  f("heating time constant", "s", d.heating_time_constant);
  f("peak forward voltage", "V", d.peak_forward);
  f("peak inverse voltage", "V", d.peak_inverse);
  f("peak cathode current", "A", d.peak_current);
  f("average cathode current", "A", d.average_current);
  f("averaging time", "s", d.averaging_time);
  f("fault current", "A", d.fault_current);
  f("fault time", "s", d.fault_time);
  f("negative grid voltage before conduction", "V", d.grid_negative_before);
  f("negative grid voltage during conduction", "V", d.grid_negative_during);
  f("negative shield voltage before conduction", "V", d.shield_negative_before);
  f("negative shield voltage during conduction", "V", d.shield_negative_during);
  f("average positive grid current", "A", d.grid_current);
  f("grid circuit resistance", "ohm", d.grid_resistance);
  f("heater positive to cathode", "V", d.heater_positive);
  f("heater negative to cathode", "V", d.heater_negative);
  f("lowest ambient temperature", "degrees Celsius", d.ambient_low);
  f("highest ambient temperature", "degrees Celsius", d.ambient_high);
  f("arc drop", "V", d.arc_drop);
  f("least arc drop", "V", d.arc_drop_least);
  f("greatest arc drop", "V", d.arc_drop_greatest);
  f("arc resistance", "ohm", d.arc_resistance);
  f("plate fall time constant", "s", d.plate_fall);
  f("cathode emission", "A", d.emission);
  f("resistance beyond the emission", "ohm", d.emission_slope);
  f("disintegration voltage", "V", d.disintegration);
  f("commutation factor", "V A/s^2", d.commutation_factor);
  f("sustaining current", "A", d.sustaining_current);
  f("least sustaining current", "A", d.sustaining_least);
  f("greatest sustaining current", "A", d.sustaining_greatest);
  f("control ratio", "", d.control_ratio);
  f("shield control ratio", "", d.shield_ratio);
  f("control line intercept", "V", d.line_intercept);
  f("low-voltage knee at 50 V", "V", d.knee_rise);
  f("ignition band at zero plate voltage", "V", d.band_at_zero);
  f("ignition band per plate volt", "", d.band_per_volt);
  f("uncertain share of the knee", "", d.band_of_knee);
  f("critical grid current", "A", d.critical_grid_current);
  f("least ionisation time", "s", d.ionisation_time_least);
  f("ionisation time times overdrive", "V s", d.ionisation_time_product);
  f("deionisation time at 10 V bias", "s", d.deionisation_time);
  f("deionisation time constant", "s", d.deionisation_constant);
  f("deionisation reference current", "A", d.deionisation_reference_current);
  f("strong bias", "V", d.deionisation_strong_bias);
  f("deionisation time at strong bias", "s", d.deionisation_time_strong);
  f("electron perveance", "A/V^1.5", d.electron_perveance);
  f("grid perveance", "A/V^1.5", d.grid_perveance);
  f("grid leakage", "S", d.grid_leakage);
  f("grid ion current per plate current", "", d.ion_share);
  f("plate ion current after conduction", "A", d.plate_ions);
  f("plasma potential", "V", d.plasma_potential);
  f("plasma resistance", "ohm", d.plasma_resistance);
  f("reverse breakdown voltage", "V", d.reverse_breakdown);
  f("reverse drop", "V", d.reverse_drop);
  f("grid-plate capacitance", "F", d.grid_plate_capacitance);
  f("input capacitance", "F", d.input_capacitance);
  f("output capacitance", "F", d.output_capacitance);
  f("shield-plate capacitance", "F", d.shield_plate_capacitance);
  f("grid-shield capacitance", "F", d.grid_shield_capacitance);
}

}  // namespace gastube::catalogue
