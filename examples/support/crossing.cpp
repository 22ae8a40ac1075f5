// SPDX-License-Identifier: MIT
#include "crossing.hpp"

namespace gastube::examples {

double crossing(double low, double high, const std::function<double(double)>& f) {
  const double wanted = 1e-9 * (high - low);
  if (!(f(low) > 0)) { return low; }
  if (f(high) > 0) { return high; }
  while (high - low > wanted) {
    const double middle = 0.5 * (low + high);
    (f(middle) > 0 ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

}  // namespace gastube::examples
