// SPDX-License-Identifier: MIT
#pragma once
/// Automatic differentiation that needs no other library: a number that carries its derivatives along.
///
///   using S = Dual<double, 2>;
///   const S r = S::variable(1e5, 0), c = S::variable(1e-6, 1);
///   const S tau = r * c;                       // value 0.1, partial(0) 1e-6, partial(1) 1e5
///
/// Any automatic-differentiation type that meets Real does as well; this one is for users who have none.

#include "gastube/support/checked.hpp"

#include <array>
#include <cmath>
#include <compare>
#include <concepts>
#include <cstddef>
#include <type_traits>

namespace gastube {

/// A value of type P with its partial derivatives with respect to N chosen quantities (forward mode).
/// Comparisons see values only. Where a function's slope is infinite (sqrt, log and powers below 1, at 0) a partial of
/// 0 stays 0, so that constants do not turn into NaN, and any other partial becomes infinite.
template <std::floating_point P, std::size_t N>
class Dual {
 public:
  using value_type = P;

  constexpr Dual() = default;
  /// A constant. Implicit from P and from integers, explicit where digits may be lost.
  template <class T>
    requires std::is_arithmetic_v<T>
  constexpr explicit(!std::same_as<T, P> && !std::integral<T>) Dual(T constant) : value_(static_cast<P>(constant)) {}

  /// The quantity with number `index`: its derivative with respect to itself is 1.
  /// @throws InvalidParameter for an index of N or more
  [[nodiscard]] static constexpr Dual variable(P value, std::size_t index) {
    Check{"dual number"}.that(index < N, "index", double(index), "", "below the number of derivatives");
    Dual result(value);
    result.partials_[index] = P(1);
    return result;
  }

  [[nodiscard]] constexpr P value() const noexcept { return value_; }
  /// Derivative with respect to quantity `index` (below N).
  [[nodiscard]] constexpr P partial(std::size_t index) const noexcept { return partials_[index]; }
  [[nodiscard]] constexpr const std::array<P, N>& partials() const noexcept { return partials_; }

  constexpr Dual& operator+=(const Dual& b) { return *this = *this + b; }
  constexpr Dual& operator-=(const Dual& b) { return *this = *this - b; }
  constexpr Dual& operator*=(const Dual& b) { return *this = *this * b; }
  constexpr Dual& operator/=(const Dual& b) { return *this = *this / b; }

  friend constexpr Dual operator+(const Dual& a) { return a; }
  friend constexpr Dual operator-(const Dual& a) { return combined(-a.value_, P(-1), a, P(0), a); }
  friend constexpr Dual operator+(const Dual& a, const Dual& b) {
    return combined(a.value_ + b.value_, P(1), a, P(1), b);
  }
  friend constexpr Dual operator-(const Dual& a, const Dual& b) {
    return combined(a.value_ - b.value_, P(1), a, P(-1), b);
  }
  friend constexpr Dual operator*(const Dual& a, const Dual& b) {
    return combined(a.value_ * b.value_, b.value_, a, a.value_, b);
  }
  friend constexpr Dual operator/(const Dual& a, const Dual& b) {
    const P ratio = a.value_ / b.value_;
    return combined(ratio, P(1) / b.value_, a, -ratio / b.value_, b);
  }

  friend constexpr bool operator==(const Dual& a, const Dual& b) { return a.value_ == b.value_; }
  friend constexpr std::partial_ordering operator<=>(const Dual& a, const Dual& b) { return a.value_ <=> b.value_; }

  friend Dual exp(const Dual& x) {
    const P value = std::exp(x.value_);
    return x.through(value, value);
  }
  friend Dual log(const Dual& x) { return x.through(std::log(x.value_), P(1) / x.value_); }
  friend Dual sqrt(const Dual& x) {
    const P root = std::sqrt(x.value_);
    return x.through(root, P(0.5) / std::abs(root));  // the root of -0 is -0
  }
  friend Dual sin(const Dual& x) { return x.through(std::sin(x.value_), std::cos(x.value_)); }
  friend Dual cos(const Dual& x) { return x.through(std::cos(x.value_), -std::sin(x.value_)); }
  /// x to a plain power.
  friend Dual pow(const Dual& x, P exponent) {
    const P slope = exponent == P(0) ? P(0) : exponent * std::pow(x.value_, exponent - P(1));
    return x.through(std::pow(x.value_, exponent), slope);
  }

 private:
  static constexpr Dual combined(P value, P by_a, const Dual& a, P by_b, const Dual& b) {
    Dual result(value);
    for (std::size_t k = 0; k < N; ++k) result.partials_[k] = by_a * a.partials_[k] + by_b * b.partials_[k];
    return result;
  }
  [[nodiscard]] constexpr Dual through(P value, P slope) const {
    Dual result(value);
    for (std::size_t k = 0; k < N; ++k)
      if (partials_[k] != P(0)) result.partials_[k] = slope * partials_[k];
    return result;
  }

  P value_ = P(0);
  std::array<P, N> partials_{};
};

static_assert(Real<Dual<float, 1>> && Real<Dual<double, 3>> && Real<Dual<long double, 2>>);

}  // namespace gastube
