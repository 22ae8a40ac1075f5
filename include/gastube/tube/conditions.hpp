// SPDX-License-Identifier: MIT
#pragma once
/// What a tube sees at its terminals.

#include "gastube/support/math.hpp"

namespace gastube {

/// Electrode voltages against the cathode.
template <Real S>
struct Conditions {
  S plate = S(0);   ///< V
  S grid = S(0);    ///< V
  S shield = S(0);  ///< V, shield grid; 0 for a triode
};

/// Grid voltage that stands for "no grid voltage fires the tube here": finite, so that guards stay continuous.
template <Real S>
inline constexpr Plain<S> never_fires = Plain<S>(1e4);

}  // namespace gastube
