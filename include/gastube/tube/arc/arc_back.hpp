// SPDX-License-Identifier: MIT
#pragma once
/// Reverse breakdown: what happens beyond the inverse voltage a tube can take.

#include "gastube/support/checked.hpp"
#include "gastube/support/math.hpp"

namespace gastube {

/// Beyond `voltage` of inverse plate voltage the tube arcs back and then drops `drop` volts the wrong way round.
template <Real S>
struct ArcBack {
  S voltage;  ///< V of inverse plate voltage, above 0
  S drop;     ///< V, above 0

  void check() const { Check{"arc-back"}.above("voltage", voltage, 0.0, "V").above("drop", drop, 0.0, "V"); }
};

}  // namespace gastube
