// SPDX-License-Identifier: MIT
#pragma once
/// Grid current: before ignition the electron current of a positive grid and the critical grid current near firing;
/// after ignition the grid is a probe in the plasma, whose ions it collects and whose potential it cannot exceed by
/// much.

#include "gastube/support/checked.hpp"
#include "gastube/tube/conditions.hpp"

namespace gastube {

/// The two paths of grid current, with slopes.
template <Real S>
struct GridPaths {
  S to_cathode = S(0);                   ///< A, electrons: from grid terminal to cathode
  S to_cathode_by_grid = S(0);           ///< A/V
  S from_plate = S(0);                   ///< A, ions: from plate terminal to grid
  S from_plate_by_plate = S(0);          ///< A/V
  S from_plate_by_grid = S(0);           ///< A/V
  S from_plate_by_plate_current = S(0);  ///< A per A of plate current
};

/// A grid without current: the ideal of textbook circuits.
template <Real S>
struct NoGridCurrent {
  static constexpr bool piecewise_linear = true;
  void check() const {}
  [[nodiscard]] GridPaths<S> before(const Conditions<S>&, const S&, const S&) const { return {}; }
  [[nodiscard]] GridPaths<S> lit(const Conditions<S>&, const S&) const { return {}; }
};

/// Grid currents of a real tube. Ions come from the discharge, so their current runs from plate to grid.
///
/// Left out: the electrons that reach a slightly negative grid by their speed of emission (retarding field), a fraction
/// of a volt of grid voltage that tubes differ by anyway; and emission of the grid itself, for which see
/// grid_emission.hpp.
template <Real S>
struct ProbeGrid {
  S perveance;          ///< A/V^1.5, electrons to a positive grid before ignition, at least 0
  S leakage;            ///< S, grid to cathode, at least 0
  S critical_current;   ///< A, ions to the grid close to firing, at least 0
  S ionisation;         ///< V, plate voltage at which ions begin, above 0
  S ion_share;          ///< A of ion current per A of plate current, at least 0
  S ions_per_residual;  ///< A of ion current at residual ionisation 1, at least 0
  S plasma;             ///< V, the grid cannot be driven much above this when lit, above 0
  S plasma_resistance;  ///< ohm, beyond the plasma potential, above 0

  void check() const {
    Check{"grid"}
        .at_least("perveance", perveance, 0.0, "A/V^1.5")
        .at_least("leakage", leakage, 0.0, "S")
        .at_least("critical_current", critical_current, 0.0, "A")
        .above("ionisation", ionisation, 0.0, "V")
        .at_least("ion_share", ion_share, 0.0, "A/A")
        .at_least("ions_per_residual", ions_per_residual, 0.0, "A")
        .above("plasma", plasma, 0.0, "V")
        .above("plasma_resistance", plasma_resistance, 0.0, "ohm");
  }
  /// Before ignition and after extinction.
  /// @param emission share of full cathode emission; @param residual ionisation left from conduction
  [[nodiscard]] GridPaths<S> before(const Conditions<S>& at, const S& emission, const S& residual) const {
    GridPaths<S> paths;
    const S up = math::positive_part(at.grid);
    paths.to_cathode = S(leakage * at.grid + perveance * emission * math::three_halves_power(up));
    paths.to_cathode_by_grid = S(leakage + perveance * emission * S(1.5) * math::sqrt(up));
    if (!(value_of(at.plate) > value_of(at.grid))) return paths;
    const S above = S((at.plate - ionisation) / ionisation);
    const S critical = S(critical_current * emission);
    const bool rising = value_of(above) > Plain<S>(0) && value_of(above) < Plain<S>(1);
    const S ions = S(critical * math::clamp(above, S(0), S(1)) + ions_per_residual * residual);
    add_ions(paths, S(at.plate - at.grid), ions, rising ? S(critical / ionisation) : S(0));
    return paths;
  }
  /// While the arc burns.
  [[nodiscard]] GridPaths<S> lit(const Conditions<S>& at, const S& plate_current) const {
    GridPaths<S> paths;
    paths.from_plate = S(ion_share * math::positive_part(plate_current));
    paths.from_plate_by_plate_current = S(value_of(plate_current) > Plain<S>(0) ? ion_share : S(0));
    const S above = math::positive_part(S(at.grid - plasma));
    paths.to_cathode = S(leakage * at.grid + above / plasma_resistance);
    paths.to_cathode_by_grid = leakage;
    if (value_of(above) > Plain<S>(0)) paths.to_cathode_by_grid += S(1) / plasma_resistance;
    return paths;
  }

 private:
  // Ions reach the grid only as long as the plate is above it; their current fades in over one volt.
  static void add_ions(GridPaths<S>& paths, const S& plate_above_grid, const S& ions, const S& ions_by_plate) {
    const S share = math::min(plate_above_grid, S(1));
    paths.from_plate += ions * share;
    paths.from_plate_by_plate += ions_by_plate * share;
    if (!(value_of(plate_above_grid) < Plain<S>(1))) return;
    paths.from_plate_by_plate += ions;
    paths.from_plate_by_grid -= ions;
  }
};

}  // namespace gastube
