// SPDX-License-Identifier: MIT
#pragma once
// Axes: round ticks, and labels that a reader can compare.

#include <string>
#include <string_view>
#include <vector>

namespace gastube::examples {

struct Tick {
  double at = 0;
  std::string label{};
};

/// An axis in the unit that is shown.
struct Axis {
  double from = 0;
  double to = 1;
  bool logarithmic = false;
  std::vector<Tick> ticks{};
  std::vector<double> minor{};
};

/// The least and greatest of what was shown to it; NaN and infinities pass unnoticed.
struct Extent {
  double least = 0;
  double greatest = 0;
  bool empty = true;

  void include(double value);
  void include(const std::vector<double>& values);
  [[nodiscard]] double span() const { return greatest - least; }
};

/// An axis from exactly `from` to exactly `to` with about `wanted` round ticks.
[[nodiscard]] Axis linear_axis(double from, double to, int wanted);

/// An axis around the values, with air above and below, and from zero where zero is near.
[[nodiscard]] Axis axis_around(const Extent& extent, int wanted);

/// A logarithmic axis around values above zero, by whole decades or by parts of one; labels carry prefixes ("100 u")
/// where the unit takes them.
[[nodiscard]] Axis logarithmic_axis(const Extent& extent, std::string_view unit);

/// Where a value lies on an axis: 0 at its beginning, 1 at its end.
[[nodiscard]] double share_of(const Axis& axis, double value);

}  // namespace gastube::examples
