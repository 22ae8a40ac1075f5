// SPDX-License-Identifier: MIT
#pragma once
/// Ignition at low plate voltage: the control line turns up, and towards the ionisation potential no grid voltage
/// fires.

#include "gastube/support/checked.hpp"
#include "gastube/tube/ignition/control_line.hpp"

namespace gastube {

/// Rise of the critical grid voltage above the control line at low plate voltage.
///
/// One electron's gain near threshold grows in proportion to (plate - ionisation) and the electron current with the 3/2
/// power of the effective grid voltage; firing at a fixed product of the two lifts the line by
/// rise * ((reference_plate - ionisation) / (plate - ionisation))^(2/3).
/// A suggestion derived for this library, not a published law; the threshold proportionality is in A. von Engel,
/// Ionized Gases (1965), from memory. Valid from about 2 V above the ionisation potential.
template <Real S>
struct LowVoltageKnee {
  S ionisation;       ///< V, ionisation potential of the gas, above 0
  S rise;             ///< V on the grid at the reference plate voltage, at least 0
  S reference_plate;  ///< V, above the ionisation potential

  void check() const {
    Check{"low-voltage knee"}
        .above("ionisation", ionisation, 0.0, "V")
        .at_least("rise", rise, 0.0, "V")
        .above("reference_plate", reference_plate, double(value_of(ionisation)), "V");
  }
  /// V to add to the control line; never_fires at and below the ionisation potential.
  [[nodiscard]] S lift(const S& plate) const {
    const S above = S(plate - ionisation);
    if (!(value_of(above) > Plain<S>(0))) return S(never_fires<S>);
    const S ratio = S((reference_plate - ionisation) / above);
    return math::min(S(rise * math::pow(ratio, Plain<S>(2) / Plain<S>(3))), S(never_fires<S>));
  }
};

/// Control line with its low-voltage knee: 24 V and 48 V designs are answered by the knee, not by the line prolonged.
template <Real S>
struct KneedLine {
  ControlLine<S> line;
  LowVoltageKnee<S> knee;

  void check() const {
    line.check();
    knee.check();
  }
  /// Grid voltage at which the tube just fires, V; at most never_fires.
  [[nodiscard]] S critical_grid(const S& plate) const {
    const S lift = knee.lift(plate);
    if (!(value_of(lift) < never_fires<S>)) return S(never_fires<S>);
    return math::min(S(line.critical_grid(plate) + lift), S(never_fires<S>));
  }
};

}  // namespace gastube
