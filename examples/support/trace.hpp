// SPDX-License-Identifier: MIT
#pragma once
// One quantity against time, and the two things done to it before it is drawn.

#include <cstddef>
#include <string>
#include <vector>

namespace gastube::examples {

/// Samples of one quantity. Two samples at the same instant are a jump, drawn as one.
struct Trace {
  std::string label{};
  std::vector<double> time{};   ///< s, never decreasing
  std::vector<double> value{};  ///< SI, one for each time; NaN leaves a gap
};

/// The part of a trace from one time to another, in seconds, with the values at the two ends interpolated.
[[nodiscard]] Trace clip(const Trace& trace, double from, double to);

/// At most about four samples for each of `columns` equal stretches of time: the first, least, greatest and last of
/// each (and one NaN, if there is one, so that gaps stay). The shortest spike therefore survives. Short traces come
/// back whole. Throws std::invalid_argument for no columns.
[[nodiscard]] Trace thin(const Trace& trace, std::size_t columns);

}  // namespace gastube::examples
