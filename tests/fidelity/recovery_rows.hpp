// SPDX-License-Identifier: MIT
#pragma once
/// Deionisation: what each recovery law predicts, beside what is published. The law stands first in the conditions.

#include <gastube/gas/vapour.hpp>
#include <gastube/tube/recovery/diffusion_afterglow.hpp>
#include <gastube/tube/recovery/hold_off.hpp>
#include <gastube/tube/recovery/power_law.hpp>
#include <gastube/tube/recovery/sheath_afterglow.hpp>

#include "fidelity/row.hpp"

namespace published::recovery {

inline constexpr const char* hull = "A. W. Hull, General Electric Review 32, 213 and 390 (1929), formula from memory";
inline constexpr const char* sheets = "tube handbooks, from memory";
inline constexpr const char* trend = "tube handbooks, from memory: what lengthens deionisation";
inline constexpr const char* mobilities = "calculated from the mobilities cited in gas/transport.hpp";

// ---- Hull's formula
// --------------------------------------------------------------------------------------------------
inline constexpr double microbar = 0.1, mercury_40 = 8.55 * microbar, mercury_60 = 35.1 * microbar;

/// us; e is stated against the plasma.
inline double hull_time(double pressure, double current, double below, double gap) {
  const gastube::PowerLawRecovery<double> law{pressure, gap, 0.0, current, 1e-6};
  return law.deionisation_time(current, -below) * 1e6;
}
/// Pa, saturated mercury vapour.
inline double mercury_at(double celsius) {
  return gastube::mercury_vapour::pressure(celsius + gastube::constants::ice_point);
}

inline const Row power_law[]{
    {"R1", "deionisation time", "PowerLawRecovery, 8.55 microbar, 0.5 A, 50 V, 1 cm", "us", 17.9, 5e-3, derived, hull,
     [] { return hull_time(mercury_40, 0.5, 50, 1e-2); }},
    {"R2", "deionisation time", "PowerLawRecovery, 8.55 microbar, 2.5 A, 10 V, 0.5 cm", "us", 1232, 5e-3, derived, hull,
     [] { return hull_time(mercury_40, 2.5, 10, 0.5e-2); }},
    {"R3", "deionisation time", "PowerLawRecovery, 35.1 microbar (mercury at 60 C), 0.5 A, 50 V, 1 cm", "us", 73.3,
     5e-3, derived, hull, [] { return hull_time(mercury_60, 0.5, 50, 1e-2); }},
    {"R3b", "deionisation time", "PowerLawRecovery, saturated mercury at 60 C, 0.5 A, 50 V, 1 cm", "us", 73.3, 5e-3,
     derived, hull, [] { return hull_time(mercury_at(60), 0.5, 50, 1e-2); }},
    {"R4", "ratio of deionisation times", "PowerLawRecovery, mercury at 80 C against 40 C", "", 14.3, 5e-3, derived,
     hull, [] { return hull_time(mercury_at(80), 0.5, 50, 1e-2) / hull_time(mercury_at(40), 0.5, 50, 1e-2); }},
    {"R5", "ratio of deionisation times", "PowerLawRecovery, ten times the current", "", 5.01, 1e-3, derived, hull,
     [] { return hull_time(mercury_40, 5, 50, 1e-2) / hull_time(mercury_40, 0.5, 50, 1e-2); }},
    {"R15", "deionisation time", "PowerLawRecovery, 5559 (mercury) at 40 C, 2.5 A; 10 V and 0.5 cm assumed", "us", 1000,
     0.3, handbook, sheets, [] { return hull_time(mercury_at(40), 2.5, 10, 0.5e-2); }},
    {"R16", "deionisation time", "PowerLawRecovery, 5557 (mercury) at 40 C, 0.5 A; 10 V and 0.5 cm assumed", "us", 1000,
     0, handbook, sheets, [] { return hull_time(mercury_at(40), 0.5, 10, 0.5e-2); }, false, Kind::at_most},
    // The rating holds up to 80 C; either it is meant at a usual temperature or the grid stands more negative.
    {"R17", "deionisation time", "PowerLawRecovery, 5559 (mercury) at 80 C, 2.5 A; 10 V and 0.5 cm assumed", "us", 1000,
     0, handbook, sheets, [] { return hull_time(mercury_at(80), 2.5, 10, 0.5e-2); }, true, Kind::at_most}};

// ---- small xenon tetrodes: 0.1 A before, 1 kohm in the grid lead, 125 V back on the plate
// -----------------------------------------
inline constexpr gastube::KneedLine<double> xenon_line{{250.0, -1.4, 0.0}, {12.13, 0.8, 50.0}};
inline constexpr double ions = 50e-6, floor = 9.0, plasma = 8.0;

/// us; how long the tube with this recovery takes at the published conditions.
template <class Recovery>
double tetrode_time(const Recovery& law, double bias, double current = 0.1, double resistance = 1e3,
                    double plate = 125.0) {
  return gastube::hold_off(xenon_line, law, ions, floor).deionisation_time({current, bias, resistance, plate}) * 1e6;
}
/// Each law is set by the tube's time at -10 V, us; the afterglow's time constant, 11 us, lies between those of both
/// tubes.
inline gastube::SheathAfterglow<double> afterglow_from(double microseconds) {
  return {11e-6, microseconds * 1e-6, 0.1, 10.0};
}
inline gastube::FixedDeionisation<double> fixed_at(double microseconds) { return {microseconds * 1e-6}; }
inline gastube::PowerLawRecovery<double> power_law_from(double microseconds, double plasma_voltage = plasma) {
  gastube::PowerLawRecovery<double> law{13.3, 1e-3, plasma_voltage, 0.1, 1e-6};
  law.gap *= law.deionisation_time(0.1, -10.0) * 1e6 / microseconds;
  return law;
}
/// Xenon at 0.1 Torr between plates 3.1 mm apart: assumed, the tubes' fills and gaps are not published.
inline gastube::DyingPlasma<double> xenon_plasma(double temperature_ratio = 1.0) {
  return {gastube::transport::xenon, 0.1 * gastube::constants::torr, 300.0, temperature_ratio, 1e-3};
}
inline gastube::SheathAfterglow<double> diffusion_from(double microseconds) {
  const gastube::DyingPlasma<double> plasma_left = xenon_plasma();
  return gastube::diffusion_afterglow(plasma_left, microseconds * 1e-6 / plasma_left.time_constant(), 0.1, 10.0);
}

/// The point at -10 V sets each law, but for InstantRecovery; what it says of the other is a prediction.
inline const Row tetrodes[]{
    {"R6", "deionisation time of 5727", "SheathAfterglow set by this point, -10 V", "us", 75, 0.3, handbook, sheets,
     [] { return tetrode_time(afterglow_from(75), -10); }},
    {"R6b", "deionisation time of 5727", "FixedDeionisation set by this point, -10 V", "us", 75, 0.3, handbook, sheets,
     [] { return tetrode_time(fixed_at(75), -10); }},
    {"R6c", "deionisation time of 5727", "PowerLawRecovery set by this point, -10 V", "us", 75, 0.3, handbook, sheets,
     [] { return tetrode_time(power_law_from(75), -10); }},
    {"R6d", "deionisation time of 5727", "diffusion_afterglow (xenon, Te = Ti) set by this point, -10 V", "us", 75, 0.3,
     handbook, sheets, [] { return tetrode_time(diffusion_from(75), -10); }},
    {"R6e", "deionisation time of 5727", "InstantRecovery, -10 V", "us", 75, 0.3, handbook, sheets,
     [] { return tetrode_time(gastube::InstantRecovery<double>{}, -10); }, true},
    {"R7", "deionisation time of 5727", "SheathAfterglow, -100 V", "us", 35, 0.3, handbook, sheets,
     [] { return tetrode_time(afterglow_from(75), -100); }},
    {"R7b", "deionisation time of 5727", "FixedDeionisation, -100 V", "us", 35, 0.3, handbook, sheets,
     [] { return tetrode_time(fixed_at(75), -100); }, true},
    {"R7c", "deionisation time of 5727", "PowerLawRecovery, -100 V", "us", 35, 0.3, handbook, sheets,
     [] { return tetrode_time(power_law_from(75), -100); }, true},
    {"R7d", "deionisation time of 5727", "diffusion_afterglow (xenon, Te = Ti), -100 V", "us", 35, 0.3, handbook,
     sheets, [] { return tetrode_time(diffusion_from(75), -100); }, true},
    {"R18", "deionisation time of 2050-A", "SheathAfterglow set by this point, -10 V", "us", 100, 0.3, plausible,
     sheets, [] { return tetrode_time(afterglow_from(100), -10); }},
    {"R19", "deionisation time of 2050-A", "SheathAfterglow, -250 V", "us", 50, 0.3, plausible, sheets,
     [] { return tetrode_time(afterglow_from(100), -250); }},
    {"R19b", "deionisation time of 2050-A", "FixedDeionisation, -250 V", "us", 50, 0.3, plausible, sheets,
     [] { return tetrode_time(fixed_at(100), -250); }, true},
    {"R19c", "deionisation time of 2050-A", "PowerLawRecovery, -250 V", "us", 50, 0.3, plausible, sheets,
     [] { return tetrode_time(power_law_from(100), -250); }, true},
    {"R20", "time at -10 V over time at -100 V, 5727", "SheathAfterglow", "", 2.1, 0.3, handbook, sheets,
     [] { return tetrode_time(afterglow_from(75), -10) / tetrode_time(afterglow_from(75), -100); }},
    {"R20b", "time at -10 V over time at -100 V, 5727", "PowerLawRecovery, voltage counted from the cathode", "", 2.1,
     0.3, handbook, sheets, [] { return hull_time(1, 0.1, 10, 1e-3) / hull_time(1, 0.1, 100, 1e-3); }, true},
    {"R20c", "time at -10 V over time at -100 V, 5727", "PowerLawRecovery, plasma at 8 V", "", 2.1, 0.3, handbook,
     sheets, [] { return tetrode_time(power_law_from(75), -10) / tetrode_time(power_law_from(75), -100); }, true}};

/// us, what a time constant makes of a bias from 10 V to another.
inline double gain(double time_constant, double bias) {
  const gastube::SheathAfterglow<double> law{time_constant, 75e-6, 0.1, 10.0};
  return (law.deionisation_time(0.1, -10.0) - law.deionisation_time(0.1, -bias)) * 1e6;
}
/// us, from the tube's geometry alone: 0.1 A/cm2 of random electrons at 1 eV, grid holes 1 mm wide, 0.1 eV left.
inline double absolute_time(double below) {
  const gastube::RecoveryConditions<double> grid{gastube::density_for_current(1e3, 1.0), 0.5e-3, 0.5e-4};
  const double ratio = 0.1 / gastube::electron_volts(300.0);
  return grid.time(xenon_plasma(ratio), below, 8.0, 1e3) * 1e6;
}

/// Where the time constant comes from.
inline const Row afterglows[]{
    {"R13", "gain by -100 V for -10 V, 5727", "SheathAfterglow, 11.6 us", "us", 40, 0.01, derived,
     "75 less 35 us, tube handbooks, from memory", [] { return gain(11.6e-6, 100); }},
    {"R14", "gain by -250 V for -10 V, 2050", "SheathAfterglow, 10.4 us", "us", 50, 0.01, derived,
     "100 less 50 us, tube handbooks, from memory", [] { return gain(10.4e-6, 250); }},
    {"R11", "time constant of xenon tetrodes", "diffusion_afterglow, Te = 40 Ti: as early as can be", "us", 11.6, 0,
     derived, "from the handbook pair of 5727", [] { return xenon_plasma(40).time_constant() * 1e6; }, false,
     Kind::at_most},
    {"R12", "time constant of xenon tetrodes", "diffusion_afterglow, Te = Ti: late", "us", 11.6, 0, derived,
     "from the handbook pair of 5727", [] { return xenon_plasma(1).time_constant() * 1e6; }, false, Kind::at_least},
    {"R21", "deionisation time of 5727", "RecoveryConditions from geometry, -10 V", "us", 75, 0.3, handbook, sheets,
     [] { return absolute_time(10); }, true},
    {"R22", "deionisation time of 5727", "RecoveryConditions from geometry, -100 V", "us", 35, 0.3, handbook, sheets,
     [] { return absolute_time(100); }, true}};

// ---- trends, as ratios of at least 1
// --------------------------------------------------------------------------------------
/// us, equal space, pressure, current and bias.
inline double in_gas(const gastube::IonMobility& ion, double pressure = 10.0) {
  const gastube::DyingPlasma<double> plasma_left{ion, pressure, 300.0, 1.0, 1e-3};
  return tetrode_time(gastube::diffusion_afterglow(plasma_left, 6.0, 0.1, 10.0), -10);
}
namespace carriers = gastube::transport;

inline const Row trends[]{
    {"R9a", "time in neon over hydrogen", "diffusion_afterglow", "", 1, 0, derived, mobilities,
     [] { return in_gas(carriers::neon) / in_gas(carriers::hydrogen); }, false, Kind::at_least},
    {"R9b", "time in argon over neon", "diffusion_afterglow", "", 1, 0, derived, mobilities,
     [] { return in_gas(carriers::argon) / in_gas(carriers::neon); }, false, Kind::at_least},
    {"R9c", "time in argon over hydrogen", "diffusion_afterglow", "", 1, 0, handbook, trend,
     [] { return in_gas(carriers::argon) / in_gas(carriers::hydrogen); }, false, Kind::at_least},
    {"R9d", "time in xenon over argon", "diffusion_afterglow", "", 1, 0, handbook, trend,
     [] { return in_gas(carriers::xenon) / in_gas(carriers::argon); }, false, Kind::at_least},
    {"R9e", "time in mercury over xenon", "diffusion_afterglow", "", 1, 0, handbook, trend,
     [] { return in_gas(carriers::mercury) / in_gas(carriers::xenon); }, false, Kind::at_least},
    {"R8a", "time at 0.5 A over 0.1 A", "SheathAfterglow", "", 1, 0, handbook, trend,
     [] { return tetrode_time(afterglow_from(75), -10, 0.5) / tetrode_time(afterglow_from(75), -10, 0.1); }, false,
     Kind::at_least},
    {"R8b", "time with 1 Mohm over 1 kohm", "SheathAfterglow", "", 1, 0, handbook, trend,
     [] { return tetrode_time(afterglow_from(75), -10, 0.1, 1e6) / tetrode_time(afterglow_from(75), -10); }, false,
     Kind::at_least},
    {"R8c", "time at -5 V over -10 V", "SheathAfterglow", "", 1, 0, handbook, trend,
     [] { return tetrode_time(afterglow_from(75), -5) / tetrode_time(afterglow_from(75), -10); }, false,
     Kind::at_least},
    {"R8d", "time for 500 V over 125 V", "SheathAfterglow", "", 1, 0, handbook, trend,
     [] { return tetrode_time(afterglow_from(75), -10, 0.1, 1e3, 500) / tetrode_time(afterglow_from(75), -10); }, false,
     Kind::at_least},
    {"R8e", "time at twice the pressure", "diffusion_afterglow", "", 1, 0, handbook, trend,
     [] { return in_gas(carriers::xenon, 20) / in_gas(carriers::xenon, 10); }, false, Kind::at_least}};

}  // namespace published::recovery
