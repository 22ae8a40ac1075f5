// SPDX-License-Identifier: MIT
#include "artificial_line.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace gastube::examples {

double ResonantCharging::duration() const { return std::numbers::pi * std::sqrt(choke * capacitance); }

double ResonantCharging::peak_current() const { return (supply - residue) * std::sqrt(capacitance / choke); }

double ResonantCharging::time_to(double level) const {
  const double cosine = std::clamp((supply - level) / (supply - residue), -1.0, 1.0);
  return std::acos(cosine) * std::sqrt(choke * capacitance);
}

}  // namespace gastube::examples
