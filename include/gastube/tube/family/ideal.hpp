// SPDX-License-Identifier: MIT
#pragma once
/// The tube of textbook circuits: straight control line, constant drop, fixed deionisation time, no other currents.

#include "gastube/tube/family/thyratron.hpp"

namespace gastube {

/// Laws of an ideal tube with the recovery of your choice.
template <Real S, RecoveryLaw<S> Recovery>
struct IdealLaws {
  using Scalar = S;
  ControlLine<S> ignition;
  ShieldShift<S> shield = {};
  NoDelay<S> delay = {};
  LinearDrop<S> arc;
  PlateFall<S> fall = {};
  SustainingCurrent<S> sustaining;
  Recovery recovery = {};
  NoGridCurrent<S> grid = {};
  PlateLeakage<S> electrons = {};
  NoAfterglowCurrent<S> afterglow = {};
  ReadyCathode<S> cathode = {};
  ArcBack<S> inverse = {S(1e6), S(15)};
  TubeCapacitances<S> capacitances = {};
  Ratings<S> ratings = {};
};

/// What a textbook states of a tube.
template <Real S>
struct IdealTube {
  S control_ratio;              ///< V/V, above 0
  S arc_drop;                   ///< V, above 0
  S sustaining_current = S(0);  ///< A, at least 0
  S arc_resistance = S(0);      ///< ohm
  S lowest_plate = S(0);        ///< V, no ignition below
  S leakage = S(0);             ///< S, plate to cathode when out

  /// Recovers at once.
  [[nodiscard]] auto build() const { return build(InstantRecovery<S>{}); }
  /// With a recovery law, e.g. FixedDeionisation<S>{200e-6}.
  template <RecoveryLaw<S> Recovery>
  [[nodiscard]] auto build(const Recovery& recovery) const {
    return Thyratron<IdealLaws<S, Recovery>>({.ignition = {control_ratio, S(0), lowest_plate},
                                              .arc = {arc_drop, arc_resistance},
                                              .sustaining = {sustaining_current},
                                              .recovery = recovery,
                                              .electrons = {leakage}},
                                             "ideal tube");
  }
};
template <Real S>
IdealTube(S, S, S) -> IdealTube<S>;

}  // namespace gastube
