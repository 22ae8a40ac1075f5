// SPDX-License-Identifier: MIT
#pragma once
/// The exact run of a follower, dy/dt = source - decay y, over a length of time.

#include "gastube/support/math.hpp"

#include <array>

namespace gastube {

/// Weights of what a follower was and of its source, for a source that runs straight or along a parabola.
/// With z = decay * length, phi_1 = (1 - exp(-z)) / z and phi_(k+1) = (1/k! - phi_k) / z.
template <Real S>
struct FollowerDecay {
  S kept = S(1);   ///< share of y that is left
  S level = S(0);  ///< length phi_1, s
  S slope = S(0);  ///< length phi_2, s
  S curve = S(0);  ///< length phi_3, s
  S twist = S(0);  ///< length phi_4, s

  FollowerDecay() = default;
  /// @param decay per second, at least 0, @param length s, at least 0
  FollowerDecay(const S& decay, const S& length) {
    using P = Plain<S>;
    const S z = S(decay * length);
    S first, second, third, fourth;
    if (value_of(z) < P(0.1)) {
      fourth = S(0);  // sum of (-z)^k / (k + 4)!
      for (int k = 8; k >= 1; --k) fourth = S((P(1) - z * fourth) / P(k + 3));
      fourth = S(P(1) / P(6) * fourth);
      third = S(P(1) / P(6) - z * fourth);
      second = S(P(0.5) - z * third);
      first = S(P(1) - z * second);
      kept = S(P(1) - z * first);
    } else {
      kept = math::exp(S(-z));
      first = S((P(1) - kept) / z);
      second = S((P(1) - first) / z);
      third = S((P(0.5) - second) / z);
      fourth = S((P(1) / P(6) - third) / z);
    }
    level = S(length * first);
    slope = S(length * second);
    curve = S(length * third);
    twist = S(length * fourth);
  }
  /// y after a source that runs straight from `first` to `last`.
  [[nodiscard]] S operator()(const S& y, const S& first, const S& last) const {
    return S(kept * y + level * first + slope * (last - first));
  }
  /// y after a source that runs along c0 + c1 s + c2 s^2 + c3 s^3, s from 0 to 1 over the length.
  [[nodiscard]] S cubic(const S& y, const std::array<S, 4>& c) const {
    using P = Plain<S>;
    return S(kept * y + level * c[0] + slope * c[1] + P(2) * curve * c[2] + P(6) * twist * c[3]);
  }
  /// y at `share` of a step, this being the decay over that share, after a source that runs along the parabola through
  /// `first`, `middle` and `last` at start, half and end of the step.
  [[nodiscard]] S curved(const S& y, const S& first, const S& middle, const S& last, Plain<S> share) const {
    using P = Plain<S>;
    const S by_step = S(P(4) * middle - P(3) * first - last);      // slope at the start, over the whole step
    const S by_square = S(P(2) * (first - P(2) * middle + last));  // of share^2
    return S(kept * y + level * first + slope * (share * by_step) + P(2) * curve * (share * share * by_square));
  }
};

}  // namespace gastube
