// SPDX-License-Identifier: MIT
#pragma once
// Where labels go so that they neither overlap nor leave the page. All lengths are pixels, y downwards.

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace gastube::examples {

/// About the width of a text in the pictures' font at a size, rather too wide than too narrow.
[[nodiscard]] double text_width(std::string_view text, double size, bool bold = false);

/// The text, cut short with an ellipsis where it is wider than `width`.
[[nodiscard]] std::string fitted(std::string_view text, double size, double width, bool bold = false);

/// The text on one line, or broken at a space into two, each fitted to `width`.
[[nodiscard]] std::vector<std::string> in_two_lines(std::string_view text, double size, double width,
                                                    bool bold = false);

/// A label that flies to the right of a pole, as a flag does; row 0 is the lowest.
struct Flag {
  double x = 0;
  double width = 0;
  std::size_t row = 0;
};

/// Raises flags, in order of x, until none covers another or is crossed by another's pole; gives the number of rows.
std::size_t raise_flags(std::vector<Flag>& flags);

/// Moves values apart, keeping their order, until they lie `gap` apart and between `low` and `high` as far as there is
/// room.
void spread(std::vector<double>& values, double gap, double low, double high);

struct Place {
  double x = 0;
  std::size_t row = 0;
};

/// Sets items of these widths in rows as words are set on a page.
[[nodiscard]] std::vector<Place> flow(const std::vector<double>& widths, double available);

struct Box {
  double left = 0, top = 0, right = 0, bottom = 0;
  [[nodiscard]] bool meets(const Box& other) const;
  [[nodiscard]] bool holds(double x, double y) const;
};

struct Point {
  double x = 0, y = 0;
};

/// For each anchor a box of its width beside it: inside `area` and off the other boxes, the anchors and the `occupied`
/// points as far as that can be had.
[[nodiscard]] std::vector<Box> boxes_beside(const std::vector<Point>& anchors, const std::vector<double>& widths,
                                            double height, const Box& area, const std::vector<Point>& occupied);

}  // namespace gastube::examples
