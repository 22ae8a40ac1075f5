// SPDX-License-Identifier: MIT
#pragma once
/// Ignition of hydrogen pulse tubes: the baffled grid holds off the full plate voltage without any bias, and fires the
/// tube when the space between grid and cathode breaks down.
///
/// These tubes work at kilovolts and hundreds of amperes. High voltage and stored charge kill: discharge and short
/// capacitors before touching anything, and follow local codes; above some 15 kV X-rays are to be expected as well.

#include "gastube/tube/ignition/ignition.hpp"

namespace gastube {

/// Critical grid voltage falling in a straight line from `grid_breakdown` at zero plate voltage to 0 at the static
/// self-breakdown voltage. Beyond that the plate breaks down to the grid by itself: a volt of negative grid then holds
/// off no more than another volt of plate. Below `least_plate` the plate does not take the discharge over.
/// The shape is a suggestion of this library; that zero grid voltage holds off the rated peak and that the trigger is
/// positive is handbook knowledge (G. N. Glasoe and J. V. Lebacqz, Pulse Generators, 1948, from memory).
template <Real S>
struct PositiveGrid {
  S grid_breakdown;  ///< V, of the grid-cathode space at zero plate voltage, above 0
  S self_breakdown;  ///< V of plate that fires with the grid at zero, above least_plate: more than the peak to be held
  S least_plate;     ///< V of plate below which no grid voltage fires, at least 0

  /// @throws InvalidParameter
  void check() const {
    Check{"positive grid"}
        .above("grid_breakdown", grid_breakdown, 0.0, "V")
        .at_least("least_plate", least_plate, 0.0, "V")
        .above("self_breakdown", self_breakdown, double(value_of(least_plate)), "V");
  }
  /// Grid voltage at which the tube just fires, V; never_fires below the least plate voltage.
  [[nodiscard]] S critical_grid(const S& plate) const {
    if (!(value_of(plate) >= value_of(least_plate))) return S(never_fires<S>);
    const S left = S(self_breakdown - plate);
    const bool held = value_of(left) > Plain<S>(0);
    return held ? math::min(S(grid_breakdown / self_breakdown * left), S(never_fires<S>)) : left;
  }
};
static_assert(IgnitionLaw<PositiveGrid<double>, double>);

}  // namespace gastube
