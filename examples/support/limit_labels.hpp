// SPDX-License-Identifier: MIT
#pragma once
// Limits as dashed level lines, with their names in the margin to the right, moved apart where they crowd.

#include "page.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace gastube::examples {

struct LimitLabel {
  std::vector<std::string> lines{};  ///< the name, then the value with its unit
  double value = 0;                  ///< in the shown unit
};

/// A limit's label; the name is broken into two lines where it is long. `unit` is the shown one.
[[nodiscard]] LimitLabel limit_label(std::string_view name, double value, std::string_view unit);

/// The height that all labels take, in pixels.
[[nodiscard]] double labels_height(const std::vector<LimitLabel>& limits);

/// The margin that the labels need to the right of the frame.
[[nodiscard]] double label_margin(const std::vector<LimitLabel>& limits);

/// Lines across the graph and labels beside it. A limit outside the axis is told of at the edge it lies beyond.
void paint_limits(const std::vector<LimitLabel>& limits, const Axis& axis, Graph& graph, Page& page, const Box& frame);

extern const Stroke limit_stroke;

}  // namespace gastube::examples
