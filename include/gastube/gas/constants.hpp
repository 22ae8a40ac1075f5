// SPDX-License-Identifier: MIT
#pragma once
/// Constants of nature, and the old units in which gas discharges were measured.

#include "gastube/support/provenance.hpp"

namespace gastube::constants {

inline constexpr const char* si = "exact by the definition of the SI units, 2019";
inline constexpr const char* codata = "CODATA recommended values, 2018, as carried by GNU units 2.22";

inline constexpr double pi = 3.14159265358979323846;

inline constexpr Sourced<double> elementary_charge{1.602176634e-19, Confidence::published, si};  ///< C
inline constexpr Sourced<double> boltzmann{1.380649e-23, Confidence::published, si};             ///< J/K
inline constexpr Sourced<double> planck{6.62607015e-34, Confidence::published, si};              ///< J s
inline constexpr Sourced<double> avogadro{6.02214076e23, Confidence::published, si};             ///< 1/mol

inline constexpr Sourced<double> atomic_mass{1.66053906660e-27, Confidence::published, codata};  ///< kg, of 1 u
inline constexpr Sourced<double> electron_mass{5.48579909065e-4 * 1.66053906660e-27, Confidence::published, codata};
///< F/m
inline constexpr Sourced<double> vacuum_permittivity{8.8541878128e-12, Confidence::published, codata};

inline constexpr double ice_point = 273.15;     ///< K, exact
inline constexpr double atmosphere = 101325.0;  ///< Pa, exact
inline constexpr double torr = 101325.0 / 760;  ///< Pa, exact

/// 1/m^3, molecules of any gas at 0 degrees Celsius and one atmosphere (Loschmidt's number).
inline constexpr Sourced<double> loschmidt{atmosphere / (boltzmann.value * ice_point), Confidence::derived,
                                           "atmosphere / (boltzmann * ice_point)"};
/// K/V, temperature of a Maxwellian swarm whose kT is one electron volt.
inline constexpr Sourced<double> kelvin_per_volt{elementary_charge.value / boltzmann.value, Confidence::derived,
                                                 "elementary_charge / boltzmann"};
/// C/kg, specific charge of the electron.
inline constexpr Sourced<double> electron_specific_charge{elementary_charge.value / electron_mass.value,
                                                          Confidence::derived, "elementary_charge / electron_mass"};
/// C/kg, specific charge of a singly charged particle of 1 u.
inline constexpr Sourced<double> ion_specific_charge{elementary_charge.value / atomic_mass.value, Confidence::derived,
                                                     "elementary_charge / atomic_mass"};

/// Pa m from Torr cm: pressure times gap, as breakdown is published.
[[nodiscard]] constexpr double torr_cm(double value) { return value * torr * 1e-2; }
/// 1/(Pa m) from 1/(cm Torr), and V/(Pa m) from V/(cm Torr).
[[nodiscard]] constexpr double per_torr_cm(double value) { return value / (torr * 1e-2); }
/// m^2 from cm^2: with 1/(V s) mobilities, with 1/s diffusion coefficients.
[[nodiscard]] constexpr double square_cm(double value) { return value * 1e-4; }
/// m^3/s from cm^3/s, recombination coefficients.
[[nodiscard]] constexpr double cubic_cm(double value) { return value * 1e-6; }

}  // namespace gastube::constants
