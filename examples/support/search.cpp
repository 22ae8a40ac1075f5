// SPDX-License-Identifier: MIT
#include "search.hpp"

#include <algorithm>
#include <cmath>

namespace gastube::examples {

namespace {

constexpr double stride = 1.4;

}  // namespace

std::optional<double> greatest_working(double low, double high, double precision,
                                       const std::function<bool(double)>& works) {
  Progress progress;
  const double whole = std::log(high / low);
  double good = 0;
  double next = low;
  while (works(next)) {
    if (next >= high) { return high; }
    good = next;
    next = std::min(high, next * stride);
    progress.reach(0.9 * std::log(next / low) / whole);
  }
  if (!(good > 0)) { return std::nullopt; }
  while (next / good > 1 + precision) {
    const double middle = std::sqrt(good * next);
    (works(middle) ? good : next) = middle;
  }
  return good;
}

}  // namespace gastube::examples
