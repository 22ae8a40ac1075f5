// SPDX-License-Identifier: MIT
#pragma once
/// Ignition: what the laws and the catalogued tubes predict, beside what is published. Points of firing curves could
/// not be read anywhere; slopes, relay operating points, the critical grid current and orderings could.

#include <gastube/catalogue/argon.hpp>
#include <gastube/catalogue/xenon.hpp>
#include <gastube/tube/ignition/positive_grid.hpp>
#include <gastube/tube/ignition/shield_family.hpp>
#include <gastube/tube/ignition/vapour_shift.hpp>

#include "fidelity/row.hpp"

namespace published::firing {

inline constexpr const char* sheets = "tube handbooks of the 1950s and 1960s, from memory";
inline constexpr const char* exhibit = "online valve-museum exhibit page on EN91, 2019";
inline constexpr const char* trend = "handbooks of electron tubes, from memory";
inline constexpr const char* two_steps =
    "Ignition of a thermionic cathode arc, J. Appl. Phys. 33, 2731 (1962), abstract: half the ionisation potential";
inline constexpr double megohm = 1e6, root2 = 1.4142135623730951;

inline const auto& tetrode() {
  static const auto laws = gastube::catalogue::type_5727().laws();
  return laws;
}
inline const auto& octal() {
  static const auto laws = gastube::catalogue::type_2050_a().laws();
  return laws;
}

/// V of plate that a volt on the grid is worth between 300 and 600 V; on the shield grid, at 450 V.
template <class Laws>
double control_ratio(const Laws& laws) {
  return 300.0 / (laws.ignition.critical_grid(300.0) - laws.ignition.critical_grid(600.0));
}
template <class Laws>
double shield_leverage(const Laws& laws) {
  return laws.shield(-0.5) - laws.shield(0.5);
}
template <class Laws>
double shield_ratio(const Laws& laws) {
  return shield_leverage(laws) * control_ratio(laws);
}

/// V of bias behind 1 Mohm at which the tube just fires, the critical current as published.
inline double critical_bias_at(double plate, double spread = 0.0) {
  const auto& data = gastube::catalogue::data_5727;
  const auto& law = tetrode().ignition;
  const double band = gastube::catalogue::ignition_band(data).half_width(plate, law.knee.lift(plate));
  return gastube::critical_bias(law.critical_grid(plate) + spread * band, data.critical_grid_current.value, megohm);
}
/// Relay on 117 V rms with 5 V rms of bias in antiphase and a steady voltage, behind 1 Mohm: V the bias lacks at the
/// closest, and the angle in degrees at which it first suffices (180: never).
struct RelayRun {
  double margin = 1e9, angle = 180.0;
};
inline RelayRun relay(double steady) {
  RelayRun run;
  for (double degrees = 0.1; degrees < 180.0; degrees += 0.1) {
    const double wave = root2 * std::sin(degrees * gastube::constants::pi / 180.0);
    const double lacking = critical_bias_at(117.0 * wave) - (steady - 5.0 * wave);
    if (lacking < run.margin) run.margin = lacking;
    if (lacking <= 0.0 && run.angle == 180.0) run.angle = degrees;
  }
  return run;
}

/// Greatest rise of a law from one volt to the next: above 0 where it is not monotone.
template <class Law>
double greatest_rise(const Law& law, double from, double to) {
  double most = -1e9;
  for (double volts = from; volts < to; volts += 1.0) {
    const double rise = law(volts + 1.0) - law(volts);
    if (rise > most) most = rise;
  }
  return most;
}

inline const Row control_characteristic[]{
    {"G1", "control ratio, 300 to 600 V", "5727", "", 250, 0.2, seen, exhibit, [] { return control_ratio(tetrode()); }},
    {"G1b", "control ratio, 300 to 600 V", "2050-A", "", 250, 0.2, handbook, sheets,
     [] { return control_ratio(octal()); }},
    {"G2", "control ratio of the shield grid", "5727", "", 1000, 0.3, handbook, sheets,
     [] { return shield_ratio(tetrode()); }},
    {"G2b", "control ratio of the shield grid", "2050-A", "", 800, 0.3, plausible, sheets,
     [] { return shield_ratio(octal()); }},
    {"K14a", "V of grid per V of shield grid", "5727", "", 4, 0.2, derived, "1000 over 250",
     [] { return shield_leverage(tetrode()); }},
    {"K14b", "V of grid per V of shield grid", "2050-A", "", 3.2, 0.2, derived, "800 over 250",
     [] { return shield_leverage(octal()); }},
    {"G3", "shift of the bias by 10 Mohm", "5727, critical current 0.5 uA", "V", -5.0, 1e-9, derived, "Ohm's law",
     [] {
       return gastube::critical_bias(0.0, gastube::catalogue::data_5727.critical_grid_current.value, 10 * megohm);
     }},
    {"G4", "critical grid voltage", "5727, plate at the ionisation potential, 12.13 V: no grid up to 1 V fires", "V", 1,
     0, derived, "no electron can ionise in one step", [] { return tetrode().ignition.critical_grid(12.1298); }, false,
     Kind::at_least},
    {"G5", "critical grid voltage", "5727, plate at half the ionisation potential, 6.06 V: no grid up to 100 V fires",
     "V", 100, 0, seen, two_steps, [] { return tetrode().ignition.critical_grid(6.06); }, false, Kind::at_least},
    {"G5a", "least igniting voltage", "Xe", "V", 6.1, 0.01, derived, two_steps,
     [] { return gastube::gas::least_ignition_voltage(gastube::gas::xenon); }},
    {"G5b", "least igniting voltage", "Ar", "V", 7.9, 0.01, derived, two_steps,
     [] { return gastube::gas::least_ignition_voltage(gastube::gas::argon); }},
    {"G5c", "least igniting voltage", "Hg", "V", 5.2, 0.01, derived, two_steps,
     [] { return gastube::gas::least_ignition_voltage(gastube::gas::mercury); }},
    {"G5d", "least igniting voltage", "Ne", "V", 10.8, 0.01, derived, two_steps,
     [] { return gastube::gas::least_ignition_voltage(gastube::gas::neon); }},
    {"G6", "critical grid voltage", "884, 300 V", "V", -30, 0.15, plausible, sheets,
     [] { return gastube::catalogue::type_884().laws().ignition.critical_grid(300.0); }},
    {"G7a", "greatest rise of the critical grid voltage per V of plate", "5727, 13 to 650 V", "V", 0, 0, handbook,
     trend, [] { return greatest_rise([](double v) { return tetrode().ignition.critical_grid(v); }, 13.0, 650.0); },
     false, Kind::at_most},
    {"G7b", "greatest rise of the critical grid voltage per V of shield grid", "5727, -100 to 10 V", "V", 0, 0,
     handbook, trend, [] { return greatest_rise([](double v) { return tetrode().shield(v); }, -100.0, 10.0); }, false,
     Kind::at_most},
    {"K7", "critical grid current", "5727, 460 V rms, emission full", "uA", 0.5, 1e-9, handbook, sheets,
     [] {
       return tetrode().grid.before({460.0 * root2, -3.0, 0.0}, 1.0, 0.0).from_plate * 1e6;
     },
     false, Kind::at_most},
    {"K8a", "critical bias behind 1 Mohm", "5727, 400 V rms (566 V peak), -6 V holds", "V", -6, 0, handbook, sheets,
     [] { return critical_bias_at(400.0 * root2); }, false, Kind::at_least},
    {"K8b", "critical bias behind 1 Mohm", "5727, 566 V peak, -6 V holds the readiest tube of the band", "V", -6, 0,
     handbook, sheets, [] { return critical_bias_at(400.0 * root2, -1.0); }, false, Kind::at_least},
    {"K8c", "critical bias behind 1 Mohm", "5727, 566 V peak, 0 V fires", "V", 0, 0, handbook, sheets,
     [] { return critical_bias_at(400.0 * root2); }, false, Kind::at_most},
    {"K8d", "critical bias behind 1 Mohm", "5727, 566 V peak, 0 V fires the laziest tube of the band", "V", 0, 0,
     handbook, sheets, [] { return critical_bias_at(400.0 * root2, 1.0); }, false, Kind::at_most},
    {"K8e", "critical bias behind 1 Mohm", "2050-A, 566 V peak, -6 V holds", "V", -6, 0, plausible, sheets,
     [] {
       return gastube::critical_bias(octal().ignition.critical_grid(400.0 * root2),
                                     gastube::catalogue::data_2050_a.critical_grid_current.value, megohm);
     },
     false, Kind::at_least},
    {"K9a", "V that the bias lacks at the closest", "5727, 117 V rms, 5 V rms in antiphase: holds", "V", 0, 0, handbook,
     sheets, [] { return relay(0.0).margin; }, false, Kind::at_least},
    {"K9b", "firing angle", "5727, 117 V rms, 5 V rms in antiphase and 5 V steady: fires before the crest", "degrees",
     90, 0, handbook, sheets, [] { return relay(5.0).angle; }, false, Kind::at_most},
};

/// A mercury triode's line at 40 degrees Celsius; every constant assumed, so that only the ordering says anything.
inline double mercury_critical(double celsius_now, double plate) {
  const gastube::KneedLine<double> line{{200, 0, 0}, {gastube::gas::mercury.ionisation.value, 1.0, 50}};
  return gastube::mercury_ignition(line, 313.15, 273.15 + celsius_now, 0.5).critical_grid(plate);
}
inline const Row vapour_ignition[]{
    {"G8", "greatest rise of the critical grid voltage per C", "mercury, 20 to 80 C, 500 V", "V", 0, 0, handbook, trend,
     [] { return greatest_rise([](double c) { return mercury_critical(c, 500.0); }, 20.0, 80.0); }, false,
     Kind::at_most},
    {"G8b", "greatest rise of the critical grid voltage per C", "mercury, 20 to 80 C, 15 V", "V", 0, 0, handbook, trend,
     [] { return greatest_rise([](double c) { return mercury_critical(c, 15.0); }, 20.0, 80.0); }, false,
     Kind::at_most},
};

}  // namespace published::firing
