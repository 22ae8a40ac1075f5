// SPDX-License-Identifier: MIT
#pragma once
/// Where a step begins or ends.

#include "gastube/stepping/system.hpp"

namespace gastube {

/// Unknowns, followers and currents at one time: where a step begins or ends.
template <HybridSystem System>
struct Position {
  using S = typename System::Scalar;

  explicit Position(const System& system)
      : time(S(0))
      , x(zeros<S, System::extent>(system.unknowns()))
      , y(zeros<S, System::follower_extent>(system.followers()))
      , currents(zeros<S, System::extent>(system.unknowns()))
      , rate_bound(zeros<Plain<S>, System::extent>(system.unknowns())) {}

  [[nodiscard]] Instant<S> instant() const { return {time, x.data(), y.data()}; }

  S time;                                 ///< s
  Storage<S, System::extent> x;           ///< unknowns
  Storage<S, System::follower_extent> y;  ///< followers
  Storage<S, System::extent> currents;    ///< f at this position
  /// Above 0 for an unknown that only the rates of sources fix, as the current of a capacitor straight across a sine
  /// source: how much of it there is per unit of rate (here the capacitance).
  Storage<Plain<S>, System::extent> rate_bound;
};

}  // namespace gastube
