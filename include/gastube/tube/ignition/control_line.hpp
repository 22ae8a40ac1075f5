// SPDX-License-Identifier: MIT
#pragma once
/// Ignition by a straight control line: each volt on the grid holds off `control_ratio` volts on the plate.

#include "gastube/support/checked.hpp"
#include "gastube/tube/conditions.hpp"

namespace gastube {

/// Critical grid voltage = intercept - plate / control_ratio, for plate voltages above `lowest_plate`; below it no grid
/// voltage fires the tube. H. J. Reich, Theory and Applications of Electron Tubes (1944), from memory.
template <Real S>
struct ControlLine {
  static constexpr bool piecewise_linear = true;
  S control_ratio;        ///< V of plate per V of grid, above 0
  S intercept = S(0);     ///< V on the grid, the line's end at zero plate voltage
  S lowest_plate = S(0);  ///< V, at least 0: the ionising voltage below which nothing strikes

  void check() const {
    Check{"control line"}
        .above("control_ratio", control_ratio, 0.0, "V/V")
        .finite("intercept", intercept, "V")
        .at_least("lowest_plate", lowest_plate, 0.0, "V");
  }
  /// Grid voltage at which the tube just fires, V; never_fires where none does.
  [[nodiscard]] S critical_grid(const S& plate) const {
    if (!(value_of(plate) >= value_of(lowest_plate))) return S(never_fires<S>);
    return S(intercept - plate / control_ratio);
  }
};

}  // namespace gastube
