// SPDX-License-Identifier: MIT
#pragma once
/// Electrons that a hot grid gives of itself, once the cathode's barium has settled on it.

#include "gastube/gas/emission.hpp"
#include "gastube/support/checked.hpp"
#include "gastube/tube/conditions.hpp"
#include "gastube/tube/grid/grid_current.hpp"

namespace gastube {

/// Primary emission of a contaminated grid. The electrons go to the positive plate, so the current runs from plate to
/// grid and out of the grid's terminal, as that of ions does, and lifts the grid in the same way by its drop in the
/// grid resistor: the firing point moves to more negative bias, the more the hotter the grid, and wanders with it. A
/// small grid resistance cures it. L. Malter and M. R. Boyd, "Grid current and grid emission studies in thyratrons",
/// Proc. IRE 39, 636 (1951), abstract. Work function about 1.5 to 2 V for a contaminated grid, 4.5 V for a clean one; a
/// micro- ampere is a bad case (weak recollection).
template <Real S>
struct GridEmission {
  EmittingSurface<S> surface;  ///< gas/emission.hpp
  S area;                      ///< m^2, that emits, at least 0

  void check() const {
    surface.check();
    Check{"grid emission"}.at_least("area", area, 0.0, "m^2");
  }
  /// Current of the whole emission, A. @param temperature K, of the grid, at least 0
  [[nodiscard]] S current(const S& temperature) const { return S(area * surface.saturated(temperature)); }
  /// Relative rise of the emission with temperature, 1/K: (2 + e phi / kT) / T. @param temperature K, above 0
  [[nodiscard]] S rise(const S& temperature) const {
    Check{"grid emission"}.above("temperature", temperature, 0.0, "K");
    const S barrier = S(surface.work_function * S(constants::kelvin_per_volt.value) / temperature);
    return S((S(2) + barrier) / temperature);
  }
  /// The current and its slopes: collected while the plate is above the grid, fading in over one volt. To be added to
  /// the paths of the grid's other currents. @param temperature K, of the grid, at least 0
  [[nodiscard]] GridPaths<S> operator()(const Conditions<S>& at, const S& temperature) const {
    GridPaths<S> paths;
    const S above = S(at.plate - at.grid);
    if (!(value_of(above) > Plain<S>(0))) return paths;
    const S all = current(temperature);
    paths.from_plate = S(all * math::min(above, S(1)));
    if (!(value_of(above) < Plain<S>(1))) return paths;
    paths.from_plate_by_plate = all;
    paths.from_plate_by_grid = S(-all);
    return paths;
  }
  /// Lift of the grid through its resistor, V: the bias must be that much more negative than with a cold grid.
  /// @param temperature K, at least 0; @param resistance ohm, at least 0
  [[nodiscard]] S firing_shift(const S& temperature, const S& resistance) const {
    Check{"grid emission"}.at_least("resistance", resistance, 0.0, "ohm");
    return S(current(temperature) * resistance);
  }
  /// Grid temperature at which the lift reaches `shift`, K. @param shift V, above 0; @param resistance ohm, above 0
  [[nodiscard]] S temperature_for(const S& shift, const S& resistance) const {
    Check{"grid emission"}
        .above("shift", shift, 0.0, "V")
        .above("resistance", resistance, 0.0, "ohm")
        .above("area", area, 0.0, "m^2");
    return surface.temperature_for(S(shift / (resistance * area)));
  }
};

}  // namespace gastube
