// SPDX-License-Identifier: MIT
#pragma once
/// Glow lamps and stabilisers: what their laws predict, beside what is published.

#include <gastube/gas/secondary_emission.hpp>
#include <gastube/tube/family/glow_tube.hpp>
#include <gastube/tube/family/relaxation.hpp>

#include "fidelity/row.hpp"

namespace published::glow_tubes {

using gastube::glow::normal_fall;

inline constexpr const char* lamp_handbook = "glow lamp handbooks and lists, from memory";

using Tube = gastube::GlowTube<gastube::StandardGlowLaws<double>>;

/// Lamp of these published voltages; all else is assumed, and does not enter the rows.
inline Tube lamp(const char* type, double strike, double maintaining, double design_current) {
  const auto line = gastube::line_to_extinction(maintaining, design_current, maintaining - 5.0, design_current / 10);
  return Tube({.ignition = gastube::symmetrical_strike(strike),
               .delay = {20e-6},
               .arc = {line, 2 * design_current, 10 * line.resistance, 100 * design_current, 20.0, 50 * design_current},
               .sustaining = {design_current / 10},
               .recovery = {1e-3, design_current}},
              type);
}
inline Tube ne_2() { return lamp("NE-2", 90, 60, 0.6e-3); }

/// A at which the glow's line meets that of `resistance` ohm at `supply` V.
inline double fed(const Tube& tube, double supply, double resistance) {
  const gastube::LinearDrop<double>& line = tube.laws().arc.normal;
  return (supply - line.drop) / (resistance + line.resistance);
}
/// V at which a gap in neon with 0.5 % argon strikes between activated cathodes, by Paschen's curve.
inline gastube::PaschenCurve<double> activated_gap() {
  const double yield =
      (gastube::secondary_emission::activated_least + gastube::secondary_emission::activated_greatest) / 2;
  return gastube::paschen_curve(gastube::townsend::of(gastube::gas::neon_argon), yield);
}
/// Period of the flashes over R C, where the flash takes no time.
inline double period_in_rc(double supply, double strike, double extinction) {
  const gastube::GlowRelaxation<double> lamp{.supply = supply,
                                             .resistance = 1e6,
                                             .strike = strike,
                                             .extinction = extinction,
                                             .normal_from = 1e-4,
                                             .inertia = 1e-4};
  return lamp.dark_time(1e-6);
}
inline double density_at(double torr) {  // mA/cm2
  return gastube::glow::normal_density("Ne", torr * gastube::constants::torr) * 1e3 * 1e-4;
}

/// How often and how soon.
inline const Row flashes[]{
    {"L2", "period over RC", "100 V, lamp of 65 / 55 V", "", 0.2513, 1e-3, derived, formula,
     [] { return period_in_rc(100, 65, 55); }},
    {"L3", "period over RC", "150 V, lamp of 85 / 60 V", "", 0.3254, 1e-3, derived, formula,
     [] { return period_in_rc(150, 85, 60); }},
    {"W2", "dark time of a flasher", "120 V, 4 Mohm, 6 uF, lamp of 75 / 30 V", "s", 16.636, 1e-4, handbook,
     "C. K. Alexander and M. N. O. Sadiku, Fundamentals of Electric Circuits, problem 7.85; the printed answer from "
     "memory",
     [] { return 24 * period_in_rc(120, 75, 30); }},
    {"W1", "lit time of a flasher", "the same, 120 ohm when lit", "us", 659.7, 2e-4, handbook,
     "C. K. Alexander and M. N. O. Sadiku, as above; the printed answer leaves out the feed",
     [] {
       const gastube::GlowRelaxation<double> lamp{.supply = 120,
                                                  .resistance = 4e6,
                                                  .strike = 75,
                                                  .extinction = 30,
                                                  .normal_from = 0.25,
                                                  .inertia = 1e-4,
                                                  .rising_resistance = 120};
       return 1e6 * lamp.flash_time(6e-6);
     }},
    {"L7", "share struck by the mean lag", "Laue's law, no formative lag", "", 0.632, 1e-3, derived,
     "form of the lag measured in neon by M. K. Radovic et al., Bulg. J. Phys. 27 S3, 179 (2000), abstract", [] {
       return gastube::LaueLag<double>{0.0, 3e-3}.share_fired_by(3e-3);
     }}};

/// Normal current density: the rule's own arithmetic.
inline const Row densities[]{{"L8a", "normal current density", "Ne, iron, 20 Torr", "mA/cm2", 2.4, 1e-3, derived,
                              formula, [] { return density_at(20); }},
                             {"L8b", "normal current density", "Ne, iron, 40 Torr", "mA/cm2", 9.6, 1e-3, derived,
                              formula, [] { return density_at(40); }},
                             {"L8c", "normal current density", "Ne, iron, 60 Torr", "mA/cm2", 21.6, 1e-3, derived,
                              formula, [] { return density_at(60); }}};

/// Currents that lamps are sold for with a resistor at 120 V, from their maintaining voltage at their design current.
inline const Row feeds[]{{"T24a", "current", "NE-2, 120 V, 100 kohm", "mA", 0.6, 0.05, seen,
                          "distributor's data sheet A1A / NE-2: 0.6 mA design current, 100 kohm, nominal 120 V line",
                          [] { return 1e3 * fed(ne_2(), 120, 100e3); }},
                         {"T24b", "current", "NE-48, 120 V, 30 kohm", "mA", 2.0, 0.3, handbook, lamp_handbook,
                          [] { return 1e3 * fed(lamp("NE-48", 90, 60, 2.0e-3), 120, 30e3); }},
                         {"T24c", "current", "NE-51, 120 V, 220 kohm", "mA", 0.3, 0.3, handbook, lamp_handbook,
                          [] { return 1e3 * fed(lamp("NE-51", 90, 60, 0.3e-3), 120, 220e3); }},
                         {"T24d", "current", "NE-2H, 120 V, 30 kohm", "mA", 1.9, 0.3, handbook, lamp_handbook,
                          [] { return 1e3 * fed(lamp("NE-2H", 135, 72, 1.9e-3), 120, 30e3); }}};

/// Strike and maintaining voltages from the gas and the cathode alone.
inline const Row from_the_gas[]{
    {"K1", "strike voltage at the best gap", "NE-2: Ne + 0.5 % Ar, activated cathodes", "V", 90, 0.3, handbook,
     lamp_handbook, [] { return activated_gap().minimum_voltage; }},
    // Far from the minimum the field is much weaker than Townsend's constants hold for, and the electrodes are wires.
    {"K2", "strike voltage", "NE-2: the same, 1/8 inch at 20 Torr", "V", 90, 0.3, handbook, lamp_handbook,
     [] { return gastube::strike_of_gap(activated_gap(), 20 * gastube::constants::torr, 3.175e-3).forward; }, true},
    {"K3", "maintaining voltage", "Z803U: neon with some argon, molybdenum cathode", "V", 105, 0.3, plausible,
     "tube handbooks, from memory", [] { return normal_fall("Mo", "Ne").value; }},
    {"L9a", "least maintaining voltage", "neon, gold-caesium-oxygen cathode; the metastable level", "V", 30, 0, seen,
     "Hall and Stocker, Radio and Electronic Engineer 28, 313 (1964), abstract: 30 to 35 V",
     [] { return gastube::gas::neon.metastable.value; }, false, Kind::at_most},
    {"L9b", "least maintaining voltage", "helium, gold-caesium-oxygen cathode; the metastable level", "V", 22, 0, seen,
     "Hall and Stocker, Radio and Electronic Engineer 28, 313 (1964), abstract: 22 to 26 V",
     [] { return gastube::gas::helium.metastable.value; }, false, Kind::at_most}};

}  // namespace published::glow_tubes
