// SPDX-License-Identifier: MIT
#include "limit_labels.hpp"

#include "quantity.hpp"

#include <algorithm>

namespace gastube::examples {
namespace {

constexpr double size = 13;
constexpr double leader = 16;
constexpr double widest = 180;
constexpr double line_height = 16;

/// An arrow where the level lies off the scale.
std::string_view direction(const LimitLabel& limit, const Axis& axis) {
  if (limit.value > axis.to) { return " \u2191"; }
  return limit.value < axis.from ? " \u2193" : "";
}

double height_of(const LimitLabel& limit) { return line_height * static_cast<double>(limit.lines.size()); }

void write_lines(const LimitLabel& limit, const Axis& axis, Page& page, double x, double middle) {
  double y = middle - (height_of(limit) - line_height) / 2;
  for (const std::string& line : limit.lines) {
    const bool last = &line == &limit.lines.back();
    page.text(x, y, last ? line + std::string(direction(limit, axis)) : line,
              {size, Align::left, false, limit_stroke.colour});
    y += line_height;
  }
}

}  // namespace

const Stroke limit_stroke{"#b00020", 1.4, "9,5"};

LimitLabel limit_label(std::string_view name, double value, std::string_view unit) {
  LimitLabel made{in_two_lines(name, size, widest), value};
  const std::string number = engineering(value, "", 3);
  made.lines.push_back(unit.empty() ? number : number + " " + std::string(unit));
  return made;
}

double labels_height(const std::vector<LimitLabel>& limits) {
  double tallest = 0;
  for (const LimitLabel& limit : limits) { tallest = std::max(tallest, height_of(limit)); }
  return tallest * static_cast<double>(limits.size());
}

double label_margin(const std::vector<LimitLabel>& limits) {
  double width = 0;
  for (const LimitLabel& limit : limits) {
    for (const std::string& line : limit.lines) {
      width = std::max(width, text_width(line, size) + (&line == &limit.lines.back() ? 16 : 0));
    }
  }
  return limits.empty() ? 0.0 : width + leader + 12;
}

void paint_limits(const std::vector<LimitLabel>& limits, const Axis& axis, Graph& graph, Page& page, const Box& frame) {
  std::vector<double> heights;
  heights.reserve(limits.size());
  for (const LimitLabel& limit : limits) {
    heights.push_back(std::clamp(graph.y_of(limit.value), frame.top, frame.bottom));
  }
  const std::vector<double> lines = heights;
  const double gap = limits.empty() ? 0.0 : labels_height(limits) / static_cast<double>(limits.size()) + 2;
  spread(heights, gap, frame.top + 8, frame.bottom - 8);
  for (std::size_t index = 0; index < limits.size(); ++index) {
    const LimitLabel& limit = limits[index];
    if (limit.value >= axis.from && limit.value <= axis.to) {
      graph.level(limit.value, limit_stroke);
      page.line({frame.right, lines[index]}, {frame.right + leader, heights[index]}, {limit_stroke.colour, 1});
    }
    write_lines(limit, axis, page, frame.right + leader + 4, heights[index]);
  }
}

}  // namespace gastube::examples
