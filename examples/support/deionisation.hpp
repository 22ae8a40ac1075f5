// SPDX-License-Identifier: MIT
#pragma once
// Deionisation time of a tube of the catalogue in its own grid circuit.

#include <gastube/catalogue/hot_cathode.hpp>
#include <gastube/tube/recovery/hold_off.hpp>

namespace gastube::examples {

/// s until the tube holds `plate` volts again after this plate current; see HoldOffQuestion for the rest.
[[nodiscard]] inline double deionisation_time(const catalogue::RareGasTube<>& tube,
                                              const HoldOffQuestion<double>& asked) {
  const auto& laws = tube.laws();
  return hold_off(laws.ignition, laws.recovery, laws.grid.ions_per_residual, tube.floor()).deionisation_time(asked);
}

}  // namespace gastube::examples
