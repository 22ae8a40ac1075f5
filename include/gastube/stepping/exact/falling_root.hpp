// SPDX-License-Identifier: MIT
#pragma once
/// The root of a curve of which it is known that it falls through zero once in a stretch: Halley's method, and halves
/// where that would leave the stretch.

#include "gastube/support/math.hpp"

namespace gastube::exact {

/// A curve at one time, with derivatives.
template <class P>
struct Bend {
  P value = P(0), slope = P(0), curvature = P(0);
  P sharpest = P(0);  ///< what the third derivative's size is at most, here
};

namespace detail {
/// Halley's step from a time to the root; once it is short, it is off by `error` at most.
template <class P>
struct HalleyStep {
  P length, error;

  explicit HalleyStep(const Bend<P>& at) {
    const P per_slope = P(1) / at.slope, half = P(0.5) * at.curvature * per_slope;
    const P newton = -at.value * per_slope, bent = P(1) + newton * half;
    length = bent > P(0.5) ? newton / bent : P(2) * newton;
    error = math::abs(length * length * length) * (half * half + math::abs(at.sharpest * per_slope));
  }
};
}  // namespace detail

/// Above zero at `low` and below it from the root on, which is its only one there.
/// @param curve called with a time, gives a Bend; @param high a time after the root, or infinite if none is known
/// @param guess between the two, above 0; @param until what comes after it is not looked at
/// @return the root, or `until` if it comes later
template <class P, class Curve>
[[nodiscard]] P falling_root(Curve&& curve, P low, P high, P guess, P until) {
  constexpr int most_looks = 200;
  bool open = !(high <= until);  // nothing is known of `until` yet
  P t = guess > low ? guess : low;
  for (int count = 0; count < most_looks; ++count) {
    if (open && !(t < until)) t = until;
    const Bend<P> at = curve(t);
    if (at.value > P(0)) {
      if (t == until) return until;
      low = t;
    } else {
      high = t;
      open = false;
    }
    const detail::HalleyStep<P> step(at);
    const P next = t + step.length;
    if (at.slope < P(0) && next >= low && next <= high) {
      if (math::min(math::abs(P(0.125) * step.length), step.error) <= P(0.25) * round_off<P> * t) return next;
      const bool slow = count % 8 == 7 && math::is_finite(high);  // as on the flat side of an exponential
      t = slow ? (low + high) / P(2) : next;
    } else {
      t = math::is_finite(high) ? (low + high) / P(2) : P(2) * t;
    }
    if (!(low < t) || !(t < high)) return t;
  }
  return t;
}

}  // namespace gastube::exact
