// SPDX-License-Identifier: MIT
#pragma once
/// Bracketing root finder: always converges on a continuous function with a sign change, never leaves the bracket.

#include "gastube/support/math.hpp"

namespace gastube {

/// A root lies between `low` and `high`; `low` is on the side where the function was positive at the start.
template <Real S>
struct Bracket {
  S low, high;
  S value_low, value_high;
};

/// Shrinks a bracket around a sign change until |high - low| <= tolerance.
/// Chandrupatla's hybrid of inverse quadratic interpolation and bisection (T. R. Chandrupatla, "A new hybrid
/// quadratic/bisection algorithm for finding the zero of a nonlinear function without using derivatives",
/// Advances in Engineering Software 28, 145, 1997).
/// @param f  continuous function S -> S with value_low > 0 >= value_high (or the reverse)
/// @param tolerance  width of the final bracket, > 0; round-off of the abscissa is allowed for
/// @return the final bracket, ends on the two sides they began on; at most 200 evaluations
template <Real S, class Function>
  requires is_plain<S>
[[nodiscard]] Bracket<S> shrink_bracket(Function&& f, Bracket<S> start, S tolerance) {
  S a = start.high, fa = start.value_high;  // newest point
  S b = start.low, fb = start.value_low;    // other side of the root
  S c = a, fc = fa;                         // the point before
  S fraction = S(0.5);
  const bool low_is_positive = start.value_low > S(0);
  const auto positive = [](S v) { return v > S(0); };
  for (int k = 0; k < 200; ++k) {
    const S width = math::abs(S(b - a));
    const S floor = S(4) * round_off<S> * math::max(math::abs(a), math::abs(b));
    if (width <= math::max(tolerance, floor)) break;
    const S t = a + fraction * (b - a);
    const S ft = f(t);
    if (positive(ft) == positive(fa)) {
      c = a, fc = fa;
    } else {
      c = b, fc = fb;
      b = a, fb = fa;
    }
    a = t, fa = ft;
    // Inverse quadratic interpolation where it stays monotone, else bisection.
    const S xi = (a - b) / (c - b), phi = (fa - fb) / (fc - fb);
    fraction = S(0.5);
    if (phi * phi < xi && (S(1) - phi) * (S(1) - phi) < S(1) - xi)
      fraction = fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb);
    const S edge = S(0.5) * math::max(tolerance, floor) / math::max(math::abs(S(b - a)), floor);
    fraction = math::clamp(fraction, math::min(edge, S(0.5)), math::max(S(S(1) - edge), S(0.5)));
  }
  const bool newest_is_low = positive(fa) == low_is_positive;
  return newest_is_low ? Bracket<S>{a, b, fa, fb} : Bracket<S>{b, a, fb, fa};
}

/// The root itself, to `tolerance`; ends of the bracket must differ in sign (an end that is 0 is returned).
template <Real S, class Function>
  requires is_plain<S>
[[nodiscard]] S find_root(Function&& f, S low, S high, S tolerance) {
  const S at_low = f(low), at_high = f(high);
  if (at_low == S(0)) return low;
  if (at_high == S(0)) return high;
  return shrink_bracket(f, Bracket<S>{low, high, at_low, at_high}, tolerance).high;
}

}  // namespace gastube
