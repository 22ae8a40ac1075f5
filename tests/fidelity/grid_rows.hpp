// SPDX-License-Identifier: MIT
#pragma once
/// Grid current: what the grid's laws predict, beside what is published.

#include <gastube/gas/sheath.hpp>
#include <gastube/tube/grid/grid_current.hpp>
#include <gastube/tube/ignition/ignition.hpp>

#include "fidelity/row.hpp"

namespace published::grid {

inline constexpr const char* arithmetic = "arithmetic on the handbook figure of 0.5 uA critical grid current";

/// Small xenon tetrode. Its ions are those a grid of 0.5 cm2 draws from a plasma of 1e10 /cm3 and 1 eV.
inline gastube::ProbeGrid<double> probe() {
  const double ions = 0.5e-4 * gastube::bohm_current(1e16, 1.0, gastube::gas::xenon.mass.value);
  return {.perveance = 2e-5,
          .leakage = 1e-9,
          .critical_current = 0.5e-6,
          .ionisation = gastube::gas::xenon.ionisation.value,
          .ion_share = 5e-4,
          .ions_per_residual = ions,
          .plasma = 8.0,
          .plasma_resistance = 1e3};
}
/// V by which a resistor in the grid lead moves the bias that just fires the tube.
inline double firing_shift(double resistance) {
  const double critical = probe().before({460.0, -3.0, 0.0}, 1.0, 0.0).from_plate;
  return -gastube::critical_bias(0.0, critical, resistance);
}
/// V by which the ions of the dying plasma lift the grid; the critical current is there all the time.
inline double lift(double resistance) {
  const auto ions = [](double residual) { return probe().before({100.0, -10.0, 0.0}, 1.0, residual).from_plate; };
  return (ions(1.0) - ions(0.0)) * resistance;
}

inline const Row probe_grid[]{
    {"T13a", "shift of the firing point", "ProbeGrid, 0.1 Mohm", "V", 0.05, 1e-6, derived, arithmetic,
     [] { return firing_shift(0.1e6); }},
    {"T13b", "shift of the firing point", "ProbeGrid, 1 Mohm", "V", 0.5, 1e-6, derived, arithmetic,
     [] { return firing_shift(1e6); }},
    {"T13c", "shift of the firing point", "ProbeGrid, 10 Mohm", "V", 5.0, 1e-6, derived, arithmetic,
     [] { return firing_shift(10e6); }},
    {"P5b", "lift of the grid in the afterglow", "ProbeGrid, 10 kohm, 0.5 cm2 in xenon, 1e10 /cm3, 1 eV", "V", 0.42,
     5e-3, derived, formula, [] { return lift(1e4); }},
    {"P5c", "lift of the grid in the afterglow", "ProbeGrid, 1 Mohm, 0.5 cm2 in xenon, 1e10 /cm3, 1 eV", "V", 42, 5e-3,
     derived, formula, [] { return lift(1e6); }}};

}  // namespace published::grid
