// SPDX-License-Identifier: MIT
#pragma once
/// Complex numbers over any scalar. (std::complex is defined for plain floating-point types only.)

#include "gastube/support/math.hpp"

namespace gastube::exact {

/// re + i im.
template <Real S>
struct Complex {
  S re = S(0);
  S im = S(0);

  friend Complex operator-(const Complex& a) { return {S(-a.re), S(-a.im)}; }
  friend Complex operator+(const Complex& a, const Complex& b) { return {S(a.re + b.re), S(a.im + b.im)}; }
  friend Complex operator-(const Complex& a, const Complex& b) { return {S(a.re - b.re), S(a.im - b.im)}; }
  friend Complex operator*(const Complex& a, const Complex& b) {
    return {S(a.re * b.re - a.im * b.im), S(a.re * b.im + a.im * b.re)};
  }
  friend Complex operator*(const S& a, const Complex& b) { return {S(a * b.re), S(a * b.im)}; }
  /// Divides by the greater part first, so that squares neither overflow nor vanish.
  friend Complex operator/(const Complex& a, const Complex& b) {
    if (math::abs(value_of(b.re)) >= math::abs(value_of(b.im))) {
      const S ratio = S(b.im / b.re), size = S(b.re + b.im * ratio);
      return {S((a.re + a.im * ratio) / size), S((a.im - a.re * ratio) / size)};
    }
    const S ratio = S(b.re / b.im), size = S(b.re * ratio + b.im);
    return {S((a.re * ratio + a.im) / size), S((a.im * ratio - a.re) / size)};
  }
  Complex& operator+=(const Complex& b) { return *this = *this + b; }
  Complex& operator-=(const Complex& b) { return *this = *this - b; }
};

template <Real S>
[[nodiscard]] Complex<S> conjugate(const Complex<S>& a) {
  return {a.re, S(-a.im)};
}
/// |a| of the plain values.
template <Real S>
[[nodiscard]] Plain<S> size_of(const Complex<S>& a) {
  return std::hypot(value_of(a.re), value_of(a.im));
}

}  // namespace gastube::exact
