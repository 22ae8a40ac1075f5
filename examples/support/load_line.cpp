// SPDX-License-Identifier: MIT
#include "load_line.hpp"

#include <algorithm>

namespace gastube::examples {

Curve load_line(std::string label, double supply, double resistance) {
  constexpr int steps = 400;
  Curve curve{std::move(label), {}, {}};
  for (int k = 0; k < steps; ++k) {
    const double volts = supply * k / steps;
    curve.x.push_back(volts);
    curve.y.push_back((supply - volts) / resistance);
  }
  return curve;
}

Curve operating_path(std::string label, const Trace& voltage, const Trace& current, double from, double to,
                     double least) {
  Curve curve{std::move(label), clip(voltage, from, to).value, clip(current, from, to).value, CurveStyle::path};
  for (double& amperes : curve.y) { amperes = std::max(amperes, least); }
  return curve;
}

}  // namespace gastube::examples
