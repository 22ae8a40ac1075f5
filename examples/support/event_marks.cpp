// SPDX-License-Identifier: MIT
#include "event_marks.hpp"

#include "quantity.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>

namespace gastube::examples {
namespace {

constexpr double flag_size = 13;
constexpr double flag_row_height = 17;
constexpr double key_row_height = 20;
constexpr double number_width = 26;
constexpr double time_width = 104;
constexpr std::size_t most_rows = 4;
constexpr std::size_t most_numbers = 45;
constexpr std::string_view event_colour = "#555555";

std::vector<EventMark> within(const std::vector<EventMark>& events, const Window& window) {
  std::vector<EventMark> inside;
  std::copy_if(events.begin(), events.end(), std::back_inserter(inside),
               [&](const EventMark& event) { return event.time >= window.from && event.time <= window.to; });
  std::stable_sort(inside.begin(), inside.end(),
                   [](const EventMark& a, const EventMark& b) { return a.time < b.time; });
  return inside;
}

/// Gathers events that lie within `distance` pixels of the first of their group.
std::vector<EventGroup> gather(const std::vector<EventMark>& events, const Window& window, double left, double right,
                               double distance) {
  std::vector<EventGroup> groups;
  for (const EventMark& event : events) {
    const double x = left + (event.time - window.from) / (window.to - window.from) * (right - left);
    if (groups.empty() || x > groups.back().x + distance) { groups.push_back({event.time, event.time, x, {}}); }
    groups.back().last = event.time;
    groups.back().names.push_back(event.name);
  }
  return groups;
}

double flag_width(const EventMarks& marks, std::size_t index) {
  const bool named = marks.style == EventStyle::named;
  const std::string text = named ? names_of(marks.groups[index]) : std::to_string(index + 1);
  return 4 + text_width(text, flag_size, !named);
}

void raise(EventMarks& marks) {
  marks.flags.clear();
  for (std::size_t index = 0; index < marks.groups.size(); ++index) {
    marks.flags.push_back({marks.groups[index].x, flag_width(marks, index), 0});
  }
  marks.rows = raise_flags(marks.flags);
}

bool fits(const EventMarks& marks, double page_right) {
  const bool on_page = std::all_of(marks.flags.begin(), marks.flags.end(),
                                   [&](const Flag& flag) { return flag.x + flag.width <= page_right; });
  return on_page && marks.rows <= most_rows;
}

CommonTimes times_of(const EventMarks& marks) {
  std::vector<double> times;
  std::transform(marks.groups.begin(), marks.groups.end(), std::back_inserter(times),
                 [](const EventGroup& group) { return group.first; });
  return common_times(times);
}

std::string entry_text(const EventGroup& group) {
  const std::string names = names_of(group);
  return group.last > group.first ? fmt::format("{} (within {})", names, engineering(group.last - group.first, "s", 2))
                                  : names;
}

/// Columns of equal width, as many as the longest entry allows.
std::size_t key_columns(const EventMarks& marks, double width) {
  double widest = 0;
  for (const EventGroup& group : marks.groups) {
    widest = std::max(widest, number_width + time_width + text_width(entry_text(group), flag_size) + 24);
  }
  return std::clamp<std::size_t>(static_cast<std::size_t>(width / widest), 1, 4);
}

std::size_t rows_in(std::size_t entries, std::size_t columns) { return (entries + columns - 1) / columns; }

std::size_t event_count(const EventMarks& marks) {
  std::size_t count = 0;
  for (const EventGroup& group : marks.groups) { count += group.names.size(); }
  return count;
}

}  // namespace

std::string names_of(const EventGroup& group) {
  std::vector<std::pair<std::string, std::size_t>> counted;
  for (const std::string& name : group.names) {
    const auto known =
        std::find_if(counted.begin(), counted.end(), [&](const auto& entry) { return entry.first == name; });
    if (known == counted.end()) {
      counted.emplace_back(name, 1);
    } else {
      ++known->second;
    }
  }
  std::string text;
  for (const auto& [name, count] : counted) {
    text += fmt::format("{}{}{}", text.empty() ? "" : ", ", name, count > 1 ? fmt::format(" {}x", count) : "");
  }
  return text;
}

EventMarks arrange(const std::vector<EventMark>& events, const Window& window, double left, double right,
                   double page_right) {
  const std::vector<EventMark> inside = within(events, window);
  EventMarks marks;
  marks.groups = gather(inside, window, left, right, 1.0);
  raise(marks);
  if (fits(marks, page_right)) { return marks; }
  marks.style = EventStyle::numbered;
  for (const double distance : {1.0, 2.0, 4.0, 8.0, 16.0}) {
    marks.groups = gather(inside, window, left, right, distance);
    raise(marks);
    if (marks.rows <= most_rows && marks.groups.size() <= most_numbers) { return marks; }
  }
  marks.groups = gather(inside, window, left, right, 1.0);
  marks.style = EventStyle::crowded;
  marks.rows = 1;
  return marks;
}

void paint_lines(const EventMarks& marks, Page& page, double flags_bottom, double bottom) {
  const bool crowded = marks.style == EventStyle::crowded;
  for (std::size_t index = 0; index < marks.groups.size(); ++index) {
    const double x = marks.groups[index].x;
    const double height = flag_row_height * static_cast<double>(crowded ? 1 : marks.flags[index].row + 1);
    page.line({x, flags_bottom - height + 2}, {x, flags_bottom}, {event_colour, 1});
    if (crowded) { continue; }
    page.line_beneath({x, flags_bottom}, {x, bottom}, {event_colour, 0.8, "3,4"});
    const bool named = marks.style == EventStyle::named;
    page.text(x + 4, flags_bottom - height + flag_row_height / 2,
              named ? names_of(marks.groups[index]) : std::to_string(index + 1), {flag_size, Align::left, !named});
  }
}

double key_height(const EventMarks& marks, double width) {
  if (marks.style == EventStyle::named) { return 0; }
  const std::size_t rows =
      marks.style == EventStyle::crowded ? 1 : rows_in(marks.groups.size(), key_columns(marks, width));
  return key_row_height * static_cast<double>(rows);
}

void paint_key(const EventMarks& marks, Page& page, double left, double top, double width) {
  if (marks.style == EventStyle::crowded) {
    page.text(left, top + key_row_height / 2,
              fmt::format("{} events, ticked above; a close-up names them", event_count(marks)), {flag_size});
  }
  if (marks.style != EventStyle::numbered) { return; }
  const std::size_t columns = key_columns(marks, width);
  const std::size_t rows = rows_in(marks.groups.size(), columns);
  const double column_width = width / static_cast<double>(columns);
  const CommonTimes times = times_of(marks);
  for (std::size_t index = 0; index < marks.groups.size(); ++index) {
    const std::size_t column = index / rows;
    const double x = left + column_width * static_cast<double>(column);
    const double y = top + key_row_height * (static_cast<double>(index % rows) + 0.5);
    page.text(x + number_width - 8, y, std::to_string(index + 1), {flag_size, Align::right, true});
    page.text(x + number_width + time_width - 12, y, fmt::format("{} {}", times.texts[index], times.unit),
              {flag_size, Align::right});
    page.text(x + number_width + time_width, y,
              fitted(entry_text(marks.groups[index]), flag_size, column_width - number_width - time_width - 6),
              {flag_size});
  }
}

}  // namespace gastube::examples
