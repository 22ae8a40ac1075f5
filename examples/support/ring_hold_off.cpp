// SPDX-License-Identifier: MIT
#include "ring_hold_off.hpp"

#include <gastube/support/root.hpp>

#include <cmath>

namespace gastube::examples {

double star_ring_hold_off(std::size_t tubes) {
  const double n = static_cast<double>(tubes);
  const auto above = [n](double t) { return (n * std::exp(-n * t) + (n - 2) * std::exp(-t)) / (n - 1) - 1; };
  return find_root(above, 0.0, 1.0, 1e-12);
}

double common_plate_ring_hold_off(double ratio) {
  const auto above = [ratio](double t) { return std::exp(-t) - 1 + std::exp(-t * (1 + 1 / ratio)); };
  return find_root(above, 0.0, 1.0, 1e-12);
}

}  // namespace gastube::examples
