// SPDX-License-Identifier: MIT
#pragma once
// The greatest value up to which something works: upwards in equal ratios to the first that does not work, then by
// halving the ratio between the two.

#include "progress.hpp"

#include <cmath>
#include <functional>
#include <optional>

namespace gastube::examples {

/// @return the last value that was seen to work; nothing if not even `low` does, `high` if all do
/// @param precision relative, of the answer
[[nodiscard]] std::optional<double> greatest_working(double low, double high, double precision,
                                                     const std::function<bool(double)>& works);

}  // namespace gastube::examples
