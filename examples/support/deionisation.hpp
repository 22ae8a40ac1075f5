// SPDX-License-Identifier: MIT
#pragma once
// Deionisation time of a tube of the catalogue in its own grid circuit.

#include <gastube/tube/family/thyratron.hpp>
#include <gastube/tube/recovery/hold_off.hpp>

namespace gastube::examples {

/// s until the tube holds `plate` volts again after this plate current; see HoldOffQuestion for the rest.
template <class Laws>
[[nodiscard]] double deionisation_time(const Thyratron<Laws>& tube, const HoldOffQuestion<double>& asked) {
  const auto& laws = tube.laws();
  return hold_off(laws.ignition, laws.recovery, laws.grid.ions_per_residual, tube.floor()).deionisation_time(asked);
}

}  // namespace gastube::examples
