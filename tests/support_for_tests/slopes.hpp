// SPDX-License-Identifier: MIT
#pragma once
/// Slopes by difference, for comparison with slopes that a law states itself.

#include <cmath>
#include <limits>

namespace slopes {

/// Step that balances round-off against curvature.
template <class S>
[[nodiscard]] S step_at(S x) {
  return std::cbrt(std::numeric_limits<S>::epsilon()) * std::fmax(std::fabs(x), S(1));
}

/// Central difference of f at x.
template <class S, class Function>
[[nodiscard]] S central(Function&& f, S x) {
  const S right = x + step_at(x), left = x - step_at(x);
  return (f(right) - f(left)) / (right - left);
}

/// True if `slope` lies between the slopes of f on the two sides of x: near each other but on a kink.
/// @param blur  what rounding within f may change its value by, beyond the rounding of the value itself
template <class S, class Function>
[[nodiscard]] bool agrees(Function&& f, S x, S slope, S blur = S(0)) {
  const S h = step_at(x), right = x + h, left = x - h, middle = f(x);
  const S after = (f(right) - middle) / (right - x), before = (middle - f(left)) / (x - left);
  const S noise = S(4) * std::numeric_limits<S>::epsilon() * (std::fabs(f(right)) + std::fabs(f(left))) / h
                  + S(2) * blur / h
                  + S(10) * std::pow(std::numeric_limits<S>::epsilon(), S(2) / S(3)) * std::fabs(slope);
  const S least = std::fmin(before, after) - noise, greatest = std::fmax(before, after) + noise;
  return slope >= least && slope <= greatest;
}

}  // namespace slopes
