// SPDX-License-Identifier: MIT
#pragma once
/// The functions that laws are written with, found for plain and automatic-differentiation scalars alike.
/// All return S (never an expression), and choose branches on the plain value. At a tie min and max return their first
/// argument, and the derivative of positive_part at 0 is 0.

#include "gastube/support/real.hpp"

#include <cmath>

namespace gastube::math {

template <Real S>
[[nodiscard]] S exp(const S& x) {
  using std::exp;
  return S(exp(x));
}
template <Real S>
[[nodiscard]] S log(const S& x) {
  using std::log;
  return S(log(x));
}
template <Real S>
[[nodiscard]] S sqrt(const S& x) {
  using std::sqrt;
  return S(sqrt(x));
}
template <Real S>
[[nodiscard]] S sin(const S& x) {
  using std::sin;
  return S(sin(x));
}
template <Real S>
[[nodiscard]] S cos(const S& x) {
  using std::cos;
  return S(cos(x));
}
/// x to a plain power; x >= 0.
template <Real S>
[[nodiscard]] S pow(const S& x, Plain<S> exponent) {
  using std::pow;
  return S(pow(x, exponent));
}

template <Real S>
[[nodiscard]] constexpr S min(const S& a, const S& b) {
  return value_of(b) < value_of(a) ? b : a;
}
template <Real S>
[[nodiscard]] constexpr S max(const S& a, const S& b) {
  return value_of(b) > value_of(a) ? b : a;
}
template <Real S>
[[nodiscard]] constexpr S clamp(const S& x, const S& low, const S& high) {
  return math::min(math::max(x, low), high);
}
template <Real S>
[[nodiscard]] constexpr S abs(const S& x) {
  if constexpr (is_plain<S>)
    if (!std::is_constant_evaluated()) return std::fabs(x);  // without a branch
  return value_of(x) < Plain<S>(0) ? S(-x) : x;
}
template <Real S>
[[nodiscard]] constexpr S positive_part(const S& x) {
  return value_of(x) > Plain<S>(0) ? x : S(0);
}

/// x^1.5 for x > 0, else 0: the space-charge power. Its slope at 0 is 0, never NaN.
template <Real S>
[[nodiscard]] S three_halves_power(const S& x) {
  if (!(value_of(x) > Plain<S>(0))) return S(0);
  return S(x * math::sqrt(x));
}

/// False for NaN and infinities of the plain value.
template <Real S>
[[nodiscard]] bool is_finite(const S& x) {
  return std::isfinite(value_of(x));
}

}  // namespace gastube::math
