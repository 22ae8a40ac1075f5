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
/// Halley's step from a time to the root.
template <class P>
[[nodiscard]] P halley_step(const Bend<P>& at) {
  const P newton = -at.value / at.slope, bent = P(1) + P(0.5) * newton * at.curvature / at.slope;
  return bent > P(0.5) ? newton / bent : P(2) * newton;
}
/// At most so much is such a step off, once it is short.
template <class P>
[[nodiscard]] P halley_error(const Bend<P>& at, P step) {
  const P half = P(0.5) * at.curvature / at.slope;
  return math::abs(step * step * step) * (half * half + math::abs(at.sharpest / at.slope));
}
}  // namespace detail

/// Above zero at `low` and below it from the root on, which is its only one there.
/// @param curve called with a time, gives a Bend; @param high a time after the root, or infinite if none is known
/// @param guess between the two; @param until what comes after it is not looked at
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
    const P step = detail::halley_step(at), next = t + step;
    if (at.slope < P(0) && next >= low && next <= high) {
      const P far = math::abs(step);
      if (far <= P(2) * round_off<P> * t || detail::halley_error(at, step) <= P(0.25) * round_off<P> * t) return next;
      t = next == t ? (low + high) / P(2) : next;
    } else {
      t = math::is_finite(high) ? (low + high) / P(2) : P(2) * t;
    }
    if (!(low < t) || !(t < high)) return t;
  }
  return t;
}

}  // namespace gastube::exact
