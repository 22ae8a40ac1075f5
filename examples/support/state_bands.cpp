// SPDX-License-Identifier: MIT
#include "state_bands.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace gastube::examples {
namespace {

constexpr double text_size = 13;
constexpr double key_row_height = 26;
constexpr double swatch_width = 34;

struct NamedLook {
  std::string_view state;
  Hatch look;
};

constexpr std::array<NamedLook, 19> handbook_looks{{
    {"cold", {"#e4e4e4", "#8a8a8a", 2}},       {"blocked", {"#e3eaf1", "#9aa7b4", 0}},
    {"striking", {"#fff0a0", "#b07d00", 1}},   {"conducting", {"#f7a35c", "#9c4a00", 0}},
    {"recovering", {"#cfe8e4", "#2f7f78", 4}}, {"reverse breakdown", {"#f3b8c4", "#99002b", 7}},
    {"dark", {"#e3eaf1", "#9aa7b4", 0}},       {"trigger glow", {"#e9dff5", "#7a4fa3", 7}},
    {"glow", {"#fbd3b0", "#b35a00", 5}},       {"abnormal glow", {"#f6b58f", "#9c3a00", 2}},
    {"arc", {"#e0736a", "#7a0000", 0}},        {"resting", {"#eef0ee", "#9aa39a", 0}},
    {"attracted", {"#d8ecc8", "#4d7a1e", 1}},  {"closing", {"#d8ecc8", "#4d7a1e", 4}},
    {"touching", {"#a9d18e", "#2f5a0c", 2}},   {"held", {"#a9d18e", "#2f5a0c", 0}},
    {"let go", {"#d6def5", "#3a4fa0", 5}},     {"opening", {"#d6def5", "#3a4fa0", 7}},
    {"settling", {"#eef0ee", "#6a736a", 2}},
}};

constexpr std::array<Hatch, 4> other_looks{{
    {"#d7d3ec", "#5a4fa0", 5},
    {"#dcecc4", "#557a1e", 1},
    {"#cfe3f7", "#2b6cab", 7},
    {"#eed6e6", "#8a3a74", 4},
}};

constexpr double inset = 0.1;  // of a band's height, above and below

struct PaintedSpan {
  std::size_t row;
  const Span* span;
};

/// A span's patch in the graph's own units, no narrower than `least_width`, so that a short state stays visible.
Box patch_of(const PaintedSpan& painted, const Axis& axis, const TimeMap& map, double least_width) {
  const double from = std::max(map(painted.span->from), axis.from);
  const double to = std::min(map(painted.span->to), axis.to);
  const double row = static_cast<double>(painted.row);
  return {from, row + inset, std::max(to, std::min(from + least_width, axis.to)), row + 1 - inset};
}

bool is_shown(const Span& span, const Axis& axis, const TimeMap& map) {
  return map(span.to) >= axis.from && map(span.from) <= axis.to;
}

std::vector<PaintedSpan> spans_in(const std::vector<StateBand>& bands, std::string_view state, const Axis& axis,
                                  const TimeMap& map) {
  std::vector<PaintedSpan> found;
  for (std::size_t row = 0; row < bands.size(); ++row) {
    for (const Span& span : bands[row].spans) {
      if (span.state == state && is_shown(span, axis, map)) { found.push_back({row, &span}); }
    }
  }
  return found;
}

/// Patches of one state; those that would fall on the patch before them are left out.
std::vector<Box> patches_of(const std::vector<PaintedSpan>& spans, const Axis& axis, const TimeMap& map, double pixel) {
  std::vector<Box> patches;
  for (const PaintedSpan& painted : spans) {
    const Box patch = patch_of(painted, axis, map, 2 * pixel);
    const bool hidden =
        !patches.empty() && patches.back().top == patch.top && patch.right <= patches.back().right + 0.5 * pixel;
    if (!hidden) { patches.push_back(patch); }
  }
  return patches;
}

/// Longest first, so that short states come to lie on top.
std::vector<std::string> by_duration(const StateLooks& looks, const std::vector<StateBand>& bands) {
  std::vector<std::pair<double, std::string>> lasting;
  for (const std::string& state : looks.shown()) {
    double total = 0;
    for (const StateBand& band : bands) {
      for (const Span& span : band.spans) { total += span.state == state ? span.to - span.from : 0.0; }
    }
    lasting.emplace_back(total, state);
  }
  std::stable_sort(lasting.begin(), lasting.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
  std::vector<std::string> states;
  std::transform(lasting.begin(), lasting.end(), std::back_inserter(states),
                 [](const auto& entry) { return entry.second; });
  return states;
}

/// A band that changes too often to show each change shows, column by column, the share of time spent in each state.
class TimeShares {
 public:
  TimeShares(const StateBand& band, const StateLooks& looks, const Axis& axis, const TimeMap& map, std::size_t columns)
      : looks_(looks)
      , axis_(axis)
      , map_(map)
      , columns_(columns)
      , shares_(looks.shown().size(), std::vector<double>(columns)) {
    for (const Span& span : band.spans) {
      if (is_shown(span, axis, map)) { add(span); }
    }
  }

  /// The patches of one state, on top of those of the states before it.
  [[nodiscard]] std::vector<Box> patches_of(std::size_t state, std::size_t row) const {
    std::vector<Box> patches;
    const double floor = static_cast<double>(row) + 1 - inset;
    for (std::size_t column = 0; column < columns_; ++column) {
      const double below = height_below(state, column);
      const double height = shares_[state][column] * (1 - 2 * inset);
      if (height > 0) { patches.push_back({edge(column), floor - below - height, edge(column + 1), floor - below}); }
    }
    return patches;
  }

 private:
  [[nodiscard]] double width() const { return (axis_.to - axis_.from) / static_cast<double>(columns_); }
  [[nodiscard]] double edge(std::size_t column) const { return axis_.from + width() * static_cast<double>(column); }

  [[nodiscard]] double height_below(std::size_t state, std::size_t column) const {
    double below = 0;
    for (std::size_t lower = 0; lower < state; ++lower) { below += shares_[lower][column] * (1 - 2 * inset); }
    return below;
  }

  void add(const Span& span) {
    const auto state = static_cast<std::size_t>(std::find(looks_.shown().begin(), looks_.shown().end(), span.state)
                                                - looks_.shown().begin());
    const double from = std::max(map_(span.from), axis_.from);
    const double to = std::min(map_(span.to), axis_.to);
    for (auto column = static_cast<std::size_t>((from - axis_.from) / width()); column < columns_ && edge(column) < to;
         ++column) {
      shares_[state][column] += std::max(0.0, std::min(to, edge(column + 1)) - std::max(from, edge(column))) / width();
    }
  }

  const StateLooks& looks_;
  const Axis& axis_;
  const TimeMap& map_;
  std::size_t columns_;
  std::vector<std::vector<double>> shares_;
};

bool is_crowded(const StateBand& band, const Axis& axis, const TimeMap& map, double width) {
  const auto shown =
      std::count_if(band.spans.begin(), band.spans.end(), [&](const Span& span) { return is_shown(span, axis, map); });
  return static_cast<double>(shown) > width / 5;
}

void paint_shares(const TimeShares& shares, std::size_t row, const StateLooks& looks, Graph& graph) {
  for (std::size_t state = 0; state < looks.shown().size(); ++state) {
    graph.patches(shares.patches_of(state, row), looks.look_of(looks.shown()[state]));
  }
}

void name_patches(const std::vector<Box>& patches, const std::string& state, const Hatch& look, Page& page,
                  const Graph& graph) {
  const double width = text_width(state, text_size) + 8;
  for (const Box& patch : patches) {
    const double left = graph.x_of(patch.left);
    const double right = graph.x_of(patch.right);
    if (right - left < width + 6) { continue; }
    const double x = (left + right) / 2;
    const double y = graph.y_of((patch.top + patch.bottom) / 2);
    if (look.pattern != 0) { page.ground({x - width / 2, y - 9, x + width / 2, y + 9}, look.ground); }
    page.text(x, y, state, {text_size, Align::centre});
  }
}

void add_once(std::vector<std::string>& names, const std::string& name) {
  if (std::find(names.begin(), names.end(), name) == names.end()) { names.push_back(name); }
}

void name_tube(const std::string& tube, Page& page, double right, double middle) {
  constexpr double line_height = 14;
  const std::vector<std::string> lines = in_two_lines(tube, text_size, right - 16, true);
  double y = middle - line_height / 2 * static_cast<double>(lines.size() - 1);
  for (const std::string& line : lines) {
    page.text(right - 10, y, line, {text_size, Align::right, true});
    y += line_height;
  }
}

void paint_states(const std::vector<StateBand>& bands, const StateLooks& looks, Page& page, Graph& graph,
                  const Axis& axis, const TimeMap& map, double pixel) {
  for (const std::string& state : by_duration(looks, bands)) {
    const std::vector<Box> patches = patches_of(spans_in(bands, state, axis, map), axis, map, pixel);
    graph.patches(patches, looks.look_of(state));
    name_patches(patches, state, looks.look_of(state), page, graph);
  }
}

std::vector<double> key_widths(const StateLooks& looks) {
  std::vector<double> widths;
  for (const std::string& state : looks.shown()) {
    widths.push_back(swatch_width + 8 + text_width(state, text_size) + 26);
  }
  return widths;
}

}  // namespace

StateLooks::StateLooks(const std::vector<StateBand>& bands, const Window& window) {
  for (const StateBand& band : bands) {
    for (const Span& span : band.spans) {
      add_once(states_, span.state);
      if (span.to >= window.from && span.from <= window.to) { add_once(shown_, span.state); }
    }
  }
}

Hatch StateLooks::look_of(std::string_view state) const {
  const auto known = std::find_if(handbook_looks.begin(), handbook_looks.end(),
                                  [&](const NamedLook& named) { return named.state == state; });
  if (known != handbook_looks.end()) { return known->look; }
  const auto place = std::find(states_.begin(), states_.end(), state);
  return other_looks[static_cast<std::size_t>(place - states_.begin()) % other_looks.size()];
}

void paint_bands(const std::vector<StateBand>& bands, const StateLooks& looks, Page& page, const Box& frame,
                 const Axis& time_axis, const TimeMap& map) {
  Axis rows;
  rows.from = static_cast<double>(bands.size());
  rows.to = 0;
  Graph graph(page, frame, time_axis, rows);
  graph.hide_y_ticks();
  const double width = frame.right - frame.left;
  std::vector<StateBand> calm = bands;
  for (std::size_t row = 0; row < bands.size(); ++row) {
    const double y = graph.y_of(static_cast<double>(row) + 0.5);
    name_tube(bands[row].tube, page, frame.left, y);
    if (is_crowded(bands[row], time_axis, map, width)) {
      paint_shares(TimeShares(bands[row], looks, time_axis, map, static_cast<std::size_t>(width / 3)), row, looks,
                   graph);
      page.text(frame.right, frame.bottom + 42, "bands: share of time in each state", {text_size, Align::right});
      calm[row].spans.clear();
    }
  }
  paint_states(calm, looks, page, graph, time_axis, map, (time_axis.to - time_axis.from) / width);
  graph.finish();
}

double state_key_height(const StateLooks& looks, double width) {
  const std::vector<Place> places = flow(key_widths(looks), width);
  return places.empty() ? 0.0 : key_row_height * static_cast<double>(places.back().row + 1);
}

void paint_state_key(const StateLooks& looks, Page& page, double left, double top, double width) {
  const std::vector<Place> places = flow(key_widths(looks), width);
  for (std::size_t index = 0; index < places.size(); ++index) {
    const double x = left + places[index].x;
    const double y = top + key_row_height * (static_cast<double>(places[index].row) + 0.5);
    const std::string& state = looks.shown()[index];
    page.patch({x, y - 8, x + swatch_width, y + 8}, looks.look_of(state));
    page.text(x + swatch_width + 8, y, state, {text_size});
  }
}

}  // namespace gastube::examples
