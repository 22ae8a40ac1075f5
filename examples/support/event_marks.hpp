// SPDX-License-Identifier: MIT
#pragma once
// Events along a time axis: gathered where they fall together, then named where there is room for names, else numbered.

#include "page.hpp"
#include "sheet.hpp"

#include <cstddef>
#include <string>
#include <vector>

namespace gastube::examples {

/// Events that fall on the same spot of the axis.
struct EventGroup {
  double first = 0;  ///< s
  double last = 0;   ///< s
  double x = 0;      ///< pixels, of the first
  std::vector<std::string> names{};
};

/// How the groups are told apart: by their names, by numbers that a key below explains, or, where they crowd, not at
/// all.
enum class EventStyle { named, numbered, crowded };

struct EventMarks {
  std::vector<EventGroup> groups{};
  std::vector<Flag> flags{};
  std::size_t rows = 0;  ///< of flags above the first panel
  EventStyle style = EventStyle::named;
};

/// The events within the window, arranged over a plot from `left` to `right` on a page that ends at `page_right`.
[[nodiscard]] EventMarks arrange(const std::vector<EventMark>& events, const Window& window, double left, double right,
                                 double page_right);

/// "A strikes, B goes out 2x": names in order, repeated ones counted.
[[nodiscard]] std::string names_of(const EventGroup& group);

/// Lines from the flags down to `bottom`, and the flags in rows ending at `flags_bottom`.
void paint_lines(const EventMarks& marks, Page& page, double flags_bottom, double bottom);

/// The height that the key takes, and its painting from `top` on; nothing unless the marks are numbered or crowded.
[[nodiscard]] double key_height(const EventMarks& marks, double width);
void paint_key(const EventMarks& marks, Page& page, double left, double top, double width);

}  // namespace gastube::examples
