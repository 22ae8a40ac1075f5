// SPDX-License-Identifier: MIT
#pragma once
/// The arc: drop and cathode, beside what is published.

#include <gastube/catalogue/argon.hpp>
#include <gastube/catalogue/xenon.hpp>
#include <gastube/tube/arc/disintegration.hpp>
#include <gastube/tube/arc/emission_limit.hpp>
#include <gastube/tube/arc/vapour_drop.hpp>
#include <gastube/tube/ratings/commutation_factor.hpp>

#include "fidelity/row.hpp"

namespace published::arcs {

inline constexpr const char* sheets = "tube handbooks of the 1950s and 1960s, from memory";
inline constexpr const char* exhibit = "online valve-museum exhibit page on EN91, 2019";
inline constexpr const char* rectifier = "encyclopedic page on type 866A";
inline constexpr const char* trend = "handbooks of electron tubes, from memory";

/// V, mercury at a temperature in degrees Celsius; greatest rise of it per degree.
inline double mercury_voltage(double celsius_now, double current) {
  return gastube::mercury_drop(273.15 + celsius_now).voltage(current);
}
inline double greatest_mercury_rise() {
  double most = -1e9;
  for (double c = 20.0; c < 80.0; c += 1.0)
    most = gastube::math::max(most, mercury_voltage(c + 1.0, 0.25) - mercury_voltage(c, 0.25));
  return most;
}

inline const Row arc_drop[]{
    {"A1", "arc drop", "5727, 0.1 A", "V", 8, 0.25, seen, exhibit,
     [] { return gastube::catalogue::type_5727().laws().arc.voltage(0.1); }},
    {"A1b", "arc drop", "2050-A, 0.1 A", "V", 8, 0.25, handbook, sheets,
     [] { return gastube::catalogue::type_2050_a().laws().arc.voltage(0.1); }},
    {"A3", "arc drop", "884, 0.075 A", "V", 16, 0.1875, plausible, sheets,
     [] { return gastube::catalogue::type_884().laws().arc.voltage(0.075); }},
};
inline const Row vapour_drop[]{
    {"A2a", "arc drop", "mercury, defaults, 0.25 A, 25 C", "V", 15, 0.2, seen, rectifier,
     [] { return mercury_voltage(25, 0.25); }},
    {"A2b", "arc drop", "mercury, defaults, 0.25 A, 60 C", "V", 15, 0.2, seen, rectifier,
     [] { return mercury_voltage(60, 0.25); }},
    {"A4", "greatest rise of the arc drop per C", "mercury, 20 to 80 C", "V", 0, 0, handbook, trend,
     [] { return greatest_mercury_rise(); }, false, Kind::at_most},
    {"A9", "arc drop", "5557 and 5559 (mercury), 80 C: lower limit", "V", 10, 0, handbook, sheets,
     [] { return mercury_voltage(80, 0.5); }, false, Kind::at_least},
    {"A10", "arc drop", "5557 and 5559 (mercury), 40 C: upper limit", "V", 24, 0, handbook, sheets,
     [] { return mercury_voltage(40, 0.5); }, false, Kind::at_most},
    {"A11", "arc drop", "5557 and 5559 (mercury), 40 C, typical", "V", 16, 0.3, handbook, sheets,
     [] { return mercury_voltage(40, 0.5); }},
};

/// 1 if a mercury arc of this drop, V, destroys the cathode.
inline double destroys(double drop) {
  const gastube::EmissionLimitedDrop<gastube::ConstantDrop<double>, double> arc{
      {drop}, 10.0, 100.0, gastube::disintegration::of("Hg").value};
  return arc.condition(1.0) == gastube::ArcCondition::cathode_destroyed ? 1.0 : 0.0;
}
inline const Row emission_limit[]{
    {"A5a", "damage flag", "mercury, drop 22.1 V", "", 1, 0, handbook, trend, [] { return destroys(22.1); }},
    {"A5b", "damage flag", "mercury, drop 21.9 V", "", 0, 0, handbook, trend, [] { return destroys(21.9); }},
};

/// Half the width of the published range, 20 to 25 V, is 11 % of its middle.
inline double loses_coating(const char* gas) { return gastube::disintegration::of(gas).value; }
inline const Row disintegration_voltage[]{
    {"A12", "disintegration voltage", "Hg", "V", 22.5, 0.1112, seen, gastube::disintegration::range,
     [] { return loses_coating("Hg"); }},
    {"A13", "disintegration voltage", "Ar", "V", 22.5, 0.1112, seen, gastube::disintegration::range,
     [] { return loses_coating("Ar"); }},
    {"A14", "disintegration voltage", "Ne", "V", 22.5, 0.1112, seen, gastube::disintegration::range,
     [] { return loses_coating("Ne"); }, true},
};

inline const Row commutation_factor[]{
    {"K25", "commutation factor", "10 A/us, 200 V/us", "V A/us2", 2000, 1e-12, derived,
     "by its definition, abstract of a society paper on a gas-filled tube of the 400 A class",
     [] {
       return gastube::CurrentEnd<double>{10e6, 200e6}.published_factor();
     }},
};

}  // namespace published::arcs
