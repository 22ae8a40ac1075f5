// SPDX-License-Identifier: MIT
#pragma once
/// The least current that keeps the arc.

#include "gastube/support/checked.hpp"
#include "gastube/support/math.hpp"

namespace gastube {

/// Below `current` the arc goes out, and a tube lights only where the circuit can feed that current.
template <Real S>
struct SustainingCurrent {
  S current;  ///< A, at least 0

  void check() const { Check{"sustaining current"}.at_least("current", current, 0.0, "A"); }
};

}  // namespace gastube
