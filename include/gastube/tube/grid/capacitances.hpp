// SPDX-License-Identifier: MIT
#pragma once
/// Direct capacitances between the electrodes, and what they amount to with the shield grid tied up or down.

#include "gastube/support/checked.hpp"
#include "gastube/support/math.hpp"

namespace gastube {

/// Where the shield grid of a tetrode is connected.
enum class ShieldTie {
  to_cathode,  ///< the usual place: it screens the grid from the plate
  to_grid,     ///< both grids together, as in a triode
  floating,    ///< nowhere: it passes the plate's steps on
};

/// Direct capacitances, F, each at least 0. Those of the shield grid are 0 for a triode, and where the published plate
/// and input capacitances count the shield grid as part of the cathode. 0 leaves the part out of a circuit's equations.
template <Real S>
struct TubeCapacitances {
  S grid_plate = S(0);     ///< F
  S grid_cathode = S(0);   ///< F
  S plate_cathode = S(0);  ///< F
  S shield_plate = S(0);   ///< F
  S grid_shield = S(0);    ///< F

  void check() const {
    Check{"tube capacitances"}
        .at_least("grid_plate", grid_plate, 0.0, "F")
        .at_least("grid_cathode", grid_cathode, 0.0, "F")
        .at_least("plate_cathode", plate_cathode, 0.0, "F")
        .at_least("shield_plate", shield_plate, 0.0, "F")
        .at_least("grid_shield", grid_shield, 0.0, "F");
  }
  /// Capacitance through which the plate drives the grid, F.
  [[nodiscard]] S effective_grid_plate(ShieldTie tie) const {
    switch (tie) {
    case ShieldTie::to_cathode: return grid_plate;
    case ShieldTie::to_grid: return S(grid_plate + shield_plate);
    case ShieldTie::floating: return S(grid_plate + through_shield());
    }
    return grid_plate;
  }
  /// Capacitance that steadies the grid against the cathode, F.
  [[nodiscard]] S effective_grid_cathode(ShieldTie tie) const {
    return tie == ShieldTie::to_cathode ? S(grid_cathode + grid_shield) : grid_cathode;
  }
  /// All that hangs on the grid, F.
  [[nodiscard]] S effective_grid(ShieldTie tie) const {
    return S(effective_grid_plate(tie) + effective_grid_cathode(tie));
  }

 private:
  // Two capacitances in series; none where both are 0.
  [[nodiscard]] S through_shield() const {
    const S sum = S(shield_plate + grid_shield);
    return value_of(sum) > Plain<S>(0) ? S(shield_plate / sum * grid_shield) : S(0);
  }
};

}  // namespace gastube
