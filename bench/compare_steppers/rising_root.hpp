// SPDX-License-Identifier: MIT
#pragma once
/// The root of a function known to lie between two times: Newton's method, by halves where that would leave them.

#include <cmath>
#include <limits>

namespace compare {

template <class T>
struct Sloped {
  T value, slope;
};

/// @param f gives value and slope; negative at `low`, not negative at `high`
template <class T, class Function>
[[nodiscard]] T rising_root(Function&& f, T low, T high, T guess) {
  constexpr T eps = std::numeric_limits<T>::epsilon();
  T t = guess > low && guess < high ? guess : (low + high) / 2;
  for (int round = 0; round < 200; ++round) {
    const Sloped<T> here = f(t);
    (here.value < 0 ? low : high) = t;
    const T step = -here.value / here.slope;
    if (std::fabs(step) <= 2 * eps * std::fabs(t)) return t;
    const T next = t + step > low && t + step < high ? t + step : (low + high) / 2;
    if (std::fabs(next - t) <= eps * std::fabs(t)) return next;
    t = next;
  }
  return t;
}

}  // namespace compare
