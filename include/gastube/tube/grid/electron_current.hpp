// SPDX-License-Identifier: MIT
#pragma once
/// The small electron current of a hot tube before ignition: what a meter reads when there is no arc.

#include "gastube/support/checked.hpp"
#include "gastube/tube/conditions.hpp"

namespace gastube {

/// Current with its slopes.
template <Real S>
struct SlopedCurrent {
  S current = S(0);                                     ///< A
  S by_plate = S(0), by_grid = S(0), by_shield = S(0);  ///< A/V
};

/// A plate that passes only leakage before ignition.
template <Real S>
struct PlateLeakage {
  static constexpr bool piecewise_linear = true;
  S conductance = S(0);  ///< S, at least 0

  void check() const { Check{"plate leakage"}.at_least("conductance", conductance, 0.0, "S"); }
  [[nodiscard]] SlopedCurrent<S> operator()(const Conditions<S>& at, const S&) const {
    return {S(conductance * at.plate), conductance, S(0), S(0)};
  }
};

/// Space-charge electron current: perveance * effective^1.5, with the effective voltage at the cathode plane
/// grid + plate / control_ratio + shield / shield_ratio + contact, cut off as the plate falls to the cathode's
/// potential (factor plate / (plate + plate_knee)). Child's law; perveance 1e-6 to 1e-5 A/V^1.5 for small thyratrons,
/// from memory. Leakage is added.
template <Real S>
struct SpaceChargeCurrent {
  S perveance;          ///< A/V^1.5 with a fully warm cathode, at least 0
  S control_ratio;      ///< V of plate per V of grid, above 0
  S shield_ratio;       ///< V of shield grid per V of grid, above 0 (unlimited for a triode)
  S contact = S(0);     ///< V, added to the grid
  S plate_knee = S(1);  ///< V, above 0
  PlateLeakage<S> leakage = {};

  void check() const {
    leakage.check();
    Check{"space-charge current"}
        .at_least("perveance", perveance, 0.0, "A/V^1.5")
        .above("control_ratio", control_ratio, 0.0, "V/V")
        .above("shield_ratio", shield_ratio, 0.0, "V/V")
        .finite("contact", contact, "V")
        .above("plate_knee", plate_knee, 0.0, "V");
  }
  /// @param emission share of full cathode emission, 0 to 1
  [[nodiscard]] SlopedCurrent<S> operator()(const Conditions<S>& at, const S& emission) const {
    SlopedCurrent<S> result = leakage(at, emission);
    const S effective = S(at.grid + at.plate / control_ratio + at.shield / shield_ratio + contact);
    if (!(value_of(at.plate) > Plain<S>(0)) || !(value_of(effective) > Plain<S>(0))) return result;
    const S flow = S(perveance * emission * math::three_halves_power(effective));
    const S flow_slope = S(perveance * emission * S(1.5) * math::sqrt(effective));
    const S cut = S(at.plate / (at.plate + plate_knee));
    const S cut_slope = S(plate_knee / ((at.plate + plate_knee) * (at.plate + plate_knee)));
    result.current += flow * cut;
    result.by_plate += flow * cut_slope + flow_slope * cut / control_ratio;
    result.by_grid += flow_slope * cut;
    result.by_shield += flow_slope * cut / shield_ratio;
    return result;
  }
};

}  // namespace gastube
