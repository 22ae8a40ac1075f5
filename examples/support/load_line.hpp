// SPDX-License-Identifier: MIT
#pragma once
// Curves in the plane of a tube's voltage and current: what the circuit offers, and the way the tube takes.

#include "characteristic.hpp"
#include "trace.hpp"

#include <string>

namespace gastube::examples {

/// Current (supply - v) / resistance against the voltage v, from 0 V to the supply.
[[nodiscard]] Curve load_line(std::string label, double supply, double resistance);

/// Current against voltage between two times, in s; both quantities from one run. Currents below `least` are drawn
/// there, so that a dark tube has a place on a logarithmic axis.
[[nodiscard]] Curve operating_path(std::string label, const Trace& voltage, const Trace& current, double from,
                                   double to, double least = 0);

}  // namespace gastube::examples
