// SPDX-License-Identifier: MIT
#pragma once
/// The scalar concept: what a number type must offer to serve in every law, part and scheme.

#include <concepts>
#include <limits>
#include <type_traits>

namespace gastube {

/// True for the built-in floating-point types, which carry no derivatives.
template <class S>
inline constexpr bool is_plain = std::is_floating_point_v<S>;

/// The floating-point type under a scalar. An automatic-differentiation type names it as `value_type` or `Scalar`.
template <class S>
struct PlainOf;
template <class S>
  requires is_plain<S>
struct PlainOf<S> {
  using type = S;
};
template <class S>
  requires requires { typename S::value_type; }
struct PlainOf<S> {
  using type = typename S::value_type;
};
template <class S>
  requires(
      !requires { typename S::value_type; } && requires { typename S::Scalar; })
struct PlainOf<S> {
  using type = typename S::Scalar;
};
template <class S>
using Plain = typename PlainOf<S>::type;

/// A real scalar: float, double, long double, or an automatic-differentiation type over one of them.
/// Needs + - * / and ordering, and construction from double. Beyond these, the functions of support/math.hpp must be
/// found by argument-dependent lookup (exp, log, sqrt, pow with a plain exponent, sin, cos).
template <class S>
concept Real = std::floating_point<Plain<S>> && std::copyable<S> && std::constructible_from<S, double> && requires(
    S a, const S b) {
  { S(a + b) } -> std::same_as<S>;
  { S(a - b) } -> std::same_as<S>;
  { S(a * b) } -> std::same_as<S>;
  { S(a / b) } -> std::same_as<S>;
  { S(-b) } -> std::same_as<S>;
  {a += b};
  {a -= b};
  { a < b } -> std::convertible_to<bool>;
  { a <= b } -> std::convertible_to<bool>;
};

/// The plain value of a scalar; branch on this, never on derivatives.
template <class S>
[[nodiscard]] constexpr Plain<S> value_of(const S& x) {
  if constexpr (is_plain<S>)
    return x;
  else if constexpr (requires { x.value(); })
    return x.value();
  else
    return x.value;
}

/// Unit round-off of the plain type under S.
template <class S>
inline constexpr Plain<S> round_off = std::numeric_limits<Plain<S>>::epsilon();

/// Stands for "never" in times and for "no limit" in ratings: beyond anything that occurs, and finite in every scalar.
template <class S>
[[nodiscard]] constexpr S unlimited() {
  return S(1e30);
}
/// False for values that stand for "no limit".
template <class S>
[[nodiscard]] constexpr bool is_limited(const S& x) {
  return value_of(x) < Plain<S>(1e29);
}

}  // namespace gastube
