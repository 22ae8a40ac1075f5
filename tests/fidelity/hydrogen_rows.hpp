// SPDX-License-Identifier: MIT
#pragma once
/// Hydrogen pulse tubes: ratings and how the grid holds off, beside what is published.

#include <gastube/tube/ignition/positive_grid.hpp>
#include <gastube/tube/ratings/pulse_ratings.hpp>

#include "fidelity/row.hpp"

namespace published::pulses {

inline constexpr const char* sheets = "tube handbooks of the 1950s and 1960s, from memory";
inline constexpr const char* rule = "product rating over voltage and current, both from handbooks";
inline constexpr const char* rms_rule = "rule read in the service specification of a 20 kV tube, handbook figures";
inline constexpr const char* glass = "notes of the data sheet of an 8 kV glass hydrogen tube";
inline constexpr const char* service = "service specification of a 20 kV hydrogen tube, page 3";

/// Ratings of three types: peak V and A, average A, rms A, V A/s, V just after the pulse.
struct Type {
  double volts, amperes, average, rms, factor, after;
};
inline constexpr Type type_3c45{3e3, 35, 0.045, 1.25, 0.3e9, 1.5e3}, type_4c35{8e3, 90, 0.1, 3.0, 2.0e9, 2.5e3},
    type_5c22{16e3, 325, 0.2, 8.06, 3.2e9, 5e3};
inline gastube::PulseRatings<double> ratings(const Type& type) {
  return {.peak_forward = type.volts,
          .peak_current = type.amperes,
          .average_current = type.average,
          .rms_current = type.rms,
          .breakdown_factor = type.factor,
          .peak_inverse = type.volts,
          .inverse_after = type.after};
}
/// 1/s at full voltage and current, pulses so narrow that only the product rating counts.
inline double full_rate(const Type& type) {
  return gastube::greatest_repetition(ratings(type), {type.volts, type.amperes, 1e-7, 0.0});
}
/// 1 if a type stands an inverse spike and the inverse voltage after it.
inline double stands(const Type& type, double spike, double width, double after) {
  gastube::PulseDuty<double> duty{type.volts, type.amperes, 1e-7, 100.0};
  duty.inverse_spike = spike;
  duty.spike_width = width;
  duty.inverse_after = after;
  return gastube::pulse_report(ratings(type), duty).all_kept() ? 1.0 : 0.0;
}
inline constexpr gastube::PulseDuty<double> radar{16e3, 325, 1e-6, 600};

inline const Row pulse_ratings[]{
    {"H1", "highest repetition", "5C22: 3.2e9 V A/s, 16 kV, 325 A", "1/s", 615.4, 1e-3, derived, rule,
     [] { return full_rate(type_5c22); }},
    {"H2", "highest repetition", "4C35: 2.0e9 V A/s, 8 kV, 90 A", "1/s", 2778, 1e-3, derived, rule,
     [] { return full_rate(type_4c35); }},
    {"K20", "highest repetition", "3C45: 0.3e9 V A/s, 3 kV, 35 A", "1/s", 2857, 1e-3, derived, rule,
     [] { return full_rate(type_3c45); }},
    {"H3a", "average current", "325 A, 1 us, 600 /s", "A", 0.195, 1e-3, derived, formula,
     [] { return radar.average(); }},
    {"H3b", "rms current", "325 A, 1 us, 600 /s", "A", 7.96, 1e-3, derived, formula, [] { return radar.rms(); }},
    {"K21a", "rms rating", "3C45: 45 mA, 35 A", "A", 1.25, 5e-3, derived, rms_rule,
     [] { return gastube::pulse_rms(type_3c45.average, type_3c45.amperes); }},
    {"K21b", "rms rating", "4C35: 100 mA, 90 A", "A", 3.0, 1e-9, derived, rms_rule,
     [] { return gastube::pulse_rms(type_4c35.average, type_4c35.amperes); }},
    {"K21c", "rms rating", "5C22: 200 mA, 325 A", "A", 8.06, 1e-3, derived, rms_rule,
     [] { return gastube::pulse_rms(type_5c22.average, type_5c22.amperes); }},
    {"K22a", "duty accepted", "8 kV class, spike of 8 kV for 0.05 us, then 2.5 kV", "", 1, 0, seen, glass,
     [] { return stands(type_4c35, 8e3, 0.05e-6, 2.5e3); }},
    {"K22b", "duty accepted", "8 kV class, spike of 8 kV for 0.06 us", "", 0, 0, seen, glass,
     [] { return stands(type_4c35, 8e3, 0.06e-6, 0.0); }},
    {"K22c", "duty accepted", "8 kV class, 2.6 kV after the pulse", "", 0, 0, seen, glass,
     [] { return stands(type_4c35, 0.0, 0.0, 2.6e3); }},
    {"K22d", "duty accepted", "20 kV class, 5 kV after the pulse", "", 1, 0, seen, service,
     [] { return stands(type_5c22, 16e3, 0.05e-6, 5e3); }},
    {"K22e", "duty accepted", "20 kV class, 5.1 kV after the pulse", "", 0, 0, seen, service,
     [] { return stands(type_5c22, 0.0, 0.0, 5.1e3); }},
};

/// Grid breakdown and self-breakdown assumed: less than the trigger, and half as much again as the rated peak.
inline double critical(const Type& type) {
  return gastube::PositiveGrid<double>{120.0, 1.5 * type.volts, 300.0}.critical_grid(type.volts);
}
inline const Row positive_grid[]{
    {"H6a", "critical grid voltage", "3C45, full 3 kV: zero grid holds", "V", 0, 0, handbook, sheets,
     [] { return critical(type_3c45); }, false, Kind::at_least},
    {"H6b", "critical grid voltage", "4C35, full 8 kV: zero grid holds", "V", 0, 0, handbook, sheets,
     [] { return critical(type_4c35); }, false, Kind::at_least},
    {"H6c", "critical grid voltage", "5C22, full 16 kV: zero grid holds", "V", 0, 0, handbook, sheets,
     [] { return critical(type_5c22); }, false, Kind::at_least},
    {"H6d", "critical grid voltage", "4C35, 1 kV: the trigger of 175 V fires", "V", 175, 0, handbook, sheets,
     [] {
       return gastube::PositiveGrid<double>{120.0, 12e3, 300.0}.critical_grid(1e3);
     },
     false, Kind::at_most},
};

}  // namespace published::pulses
