// SPDX-License-Identifier: MIT
#include "event_marks.hpp"
#include "limit_labels.hpp"
#include "page.hpp"
#include "quantity.hpp"
#include "sheet.hpp"
#include "state_bands.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>

namespace gastube::examples {
namespace {

constexpr int page_width = 1200;
constexpr double header_row = 24;
constexpr double text_size = 15;
constexpr double small_size = 13;
constexpr double sample_width = 34;

/// The time axis as it is shown: a close-up far from zero counts from a round instant, so that its ticks stay readable.
struct TimeScale {
  TimeMap map{};
  Axis axis{};
  std::string title{};
};

double round_origin(const Window& window) {
  const double span = window.to - window.from;
  if (std::max(std::abs(window.from), std::abs(window.to)) < 50 * span) { return 0; }
  const double step = std::pow(10.0, std::floor(std::log10(span)));
  return std::floor(window.from / step) * step;
}

TimeScale time_scale(const Window& window) {
  const double origin = round_origin(window);
  const Scale scale = engineering_scale(std::max(std::abs(window.from - origin), std::abs(window.to - origin)), "s");
  TimeScale time{{origin, scale.factor}, {}, {}};
  time.axis = linear_axis(time.map(window.from), time.map(window.to), 10);
  const std::string after = origin == 0 ? std::string() : fmt::format(" after {}", engineering(origin, "s", 9));
  time.title = fmt::format("time{} [{}]", after, scale.unit);
  return time;
}

Window whole_run(const WaveformSheet& sheet) {
  Extent extent;
  for (const Panel& panel : sheet.panels) {
    for (const Trace& trace : panel.traces) { extent.include(trace.time); }
  }
  for (const StateBand& band : sheet.bands) {
    for (const Span& span : band.spans) { extent.include({span.from, span.to}); }
  }
  return {extent.least, extent.greatest};
}

/// A panel made ready: cut to the window, thinned to the picture, in the shown unit.
struct ReadyPanel {
  std::string title{};
  std::vector<Trace> traces{};
  std::vector<LimitLabel> limits{};
  Axis axis{};
  std::vector<Place> key{};
  Box frame{};
  double header = 0;  ///< y of the title's row
};

std::string panel_title(const Panel& panel, const Scale& scale) {
  return scale.unit.empty() ? panel.title : fmt::format("{} [{}]", panel.title, scale.unit);
}

/// How far from zero a limit may lie to belong into the picture: one far off would press the traces flat and is only
/// told of.
double reach_of(const Extent& traces, const std::vector<Limit>& limits) {
  const double tallest = std::max({traces.span(), std::abs(traces.least), std::abs(traces.greatest)});
  if (tallest > 0 || limits.empty()) { return 3 * tallest; }
  const auto nearer = [](const Limit& a, const Limit& b) { return std::abs(a.value) < std::abs(b.value); };
  return std::abs(std::min_element(limits.begin(), limits.end(), nearer)->value);
}

Extent with_limits(Extent extent, const std::vector<Limit>& limits) {
  const double reach = reach_of(extent, limits);
  for (const Limit& limit : limits) {
    if (std::abs(limit.value) <= reach) { extent.include(limit.value); }
  }
  return extent;
}

/// A close-up in which nothing happens keeps the scale of the whole run.
bool flat(const Extent& extent) {
  return extent.span() <= 1e-9 * std::max(std::abs(extent.least), std::abs(extent.greatest));
}

Extent whole_extent(const Panel& panel) {
  Extent extent;
  for (const Trace& trace : panel.traces) { extent.include(trace.value); }
  return extent;
}

void rescale(Trace& trace, const TimeMap& map, double factor) {
  for (double& time : trace.time) { time = map(time); }
  for (double& value : trace.value) { value *= factor; }
}

ReadyPanel ready(const Panel& panel, const Window& window, const TimeScale& time, int ticks) {
  ReadyPanel made;
  Extent extent;
  for (const Trace& trace : panel.traces) {
    made.traces.push_back(thin(clip(trace, window.from, window.to), page_width));
    extent.include(made.traces.back().value);
  }
  extent = with_limits(flat(extent) ? whole_extent(panel) : extent, panel.limits);
  const Scale scale = engineering_scale(std::max(std::abs(extent.least), std::abs(extent.greatest)), panel.unit);
  for (Trace& trace : made.traces) { rescale(trace, time.map, scale.factor); }
  if (!extent.empty) { extent = Extent{extent.least * scale.factor, extent.greatest * scale.factor, false}; }
  made.axis = axis_around(extent, ticks);
  made.title = panel_title(panel, scale);
  for (const Limit& limit : panel.limits) {
    made.limits.push_back(limit_label(limit.label, limit.value * scale.factor, scale.unit));
  }
  return made;
}

bool has_key(const ReadyPanel& panel) {
  return panel.traces.size() > 1 || (panel.traces.size() == 1 && !panel.traces.front().label.empty());
}

double title_width(const ReadyPanel& panel) { return text_width(panel.title, text_size, true) + 28; }

std::vector<double> key_widths(const ReadyPanel& panel) {
  std::vector<double> widths;
  for (const Trace& trace : panel.traces) {
    widths.push_back(sample_width + 8 + text_width(trace.label, small_size) + 22);
  }
  return widths;
}

/// Where the key's entries go: beside the title if one row will do, else in rows beneath it.
std::vector<Place> key_places(const ReadyPanel& panel, double width) {
  if (!has_key(panel)) { return {}; }
  const std::vector<double> widths = key_widths(panel);
  const double beside = title_width(panel);
  const bool one_row = std::accumulate(widths.begin(), widths.end(), beside) <= width;
  std::vector<Place> places = flow(widths, one_row ? width - beside : width);
  for (Place& place : places) {
    place.x += one_row ? beside : 0.0;
    place.row += one_row ? 0 : 1;
  }
  return places;
}

class SheetPainter {
 public:
  SheetPainter(const WaveformSheet& sheet, const Window& window)
      : sheet_(sheet), window_(window), time_(time_scale(window)), looks_(sheet.bands, window) {
    set_margins();
    marks_ = arrange(sheet.events, window, left_, right_, page_width - 8);
    flags_bottom_ = title_height(sheet.title, left_, page_width) + 17 * static_cast<double>(marks_.rows);
    place_panels();
    place_feet();
  }

  [[nodiscard]] DrawResult paint(const std::string& path) {
    Page page(page_width, static_cast<int>(height_), format_of(path));
    page.title(left_, sheet_.title);
    for (std::size_t index = 0; index < panels_.size(); ++index) {
      paint_panel(panels_[index], page, sheet_.bands.empty() && index + 1 == panels_.size());
    }
    if (!sheet_.bands.empty()) { paint_bands(sheet_.bands, looks_, page, bands_frame_, time_.axis, time_.map); }
    paint_lines(marks_, page, flags_bottom_, plots_bottom_);
    page.text((left_ + right_) / 2, time_title_, time_.title, {text_size, Align::centre});
    paint_state_key(looks_, page, left_, state_key_, right_ - left_);
    paint_key(marks_, page, left_, event_key_, page_width - left_ - 8);
    return page.save(path);
  }

 private:
  void set_margins() {
    left_ = 78;
    for (const StateBand& band : sheet_.bands) {
      left_ = std::clamp(text_width(band.tube, small_size, true) + 18, left_, 210.0);
    }
    right_ = page_width - (sheet_.events.empty() ? 24 : 40);
    for (const Panel& panel : sheet_.panels) {
      panels_.push_back(ready(panel, window_, time_, static_cast<int>(common_height() / 32)));
      right_ = std::min(right_, page_width - label_margin(panels_.back().limits));
    }
  }

  [[nodiscard]] double common_height() const {
    return std::clamp(640.0 / static_cast<double>(std::max<std::size_t>(sheet_.panels.size(), 1)), 96.0, 190.0);
  }

  void place_panels() {
    double y = flags_bottom_;
    for (ReadyPanel& panel : panels_) {
      panel.key = key_places(panel, right_ - left_);
      panel.header = y + 4 + header_row / 2;
      const double rows = panel.key.empty() ? 1.0 : static_cast<double>(panel.key.back().row + 1);
      const double top = y + 4 + header_row * rows;
      const double height = std::max(common_height(), labels_height(panel.limits));
      panel.frame = {left_, top, right_, top + height};
      y = top + height + 4;
    }
    plots_bottom_ = y - 4;
    if (!sheet_.bands.empty()) {
      bands_frame_ = {left_, y + 12, right_, y + 12 + band_height * static_cast<double>(sheet_.bands.size())};
      plots_bottom_ = bands_frame_.bottom;
    }
  }

  void place_feet() {
    time_title_ = plots_bottom_ + 42;
    state_key_ = time_title_ + 20;
    event_key_ = state_key_ + state_key_height(looks_, right_ - left_) + 4;
    height_ = event_key_ + key_height(marks_, page_width - left_ - 8) + 10;
  }

  void paint_panel(const ReadyPanel& panel, Page& page, bool lowest) const {
    Graph graph(page, panel.frame, time_.axis, panel.axis);
    if (!lowest) { graph.hide_x_labels(); }
    for (std::size_t index = 0; index < panel.traces.size(); ++index) {
      graph.curve(panel.traces[index].time, panel.traces[index].value, {series_colour(index), 1.8, series_dash(index)});
    }
    paint_limits(panel.limits, panel.axis, graph, page, panel.frame);
    graph.finish();
    page.ground({left_, panel.header - 9, left_ + title_width(panel) - 28, panel.header + 9}, "#ffffff");
    page.text(left_, panel.header, panel.title, {text_size, Align::left, true});
    paint_panel_key(panel, page);
  }

  void paint_panel_key(const ReadyPanel& panel, Page& page) const {
    for (std::size_t index = 0; index < panel.key.size(); ++index) {
      const double x = left_ + panel.key[index].x;
      const double y = panel.header + header_row * static_cast<double>(panel.key[index].row);
      page.ground({x, y - 9, x + sample_width + 8 + text_width(panel.traces[index].label, small_size), y + 9},
                  "#ffffff");
      page.line({x, y}, {x + sample_width, y}, {series_colour(index), 2.2, series_dash(index)});
      page.text(x + sample_width + 8, y, panel.traces[index].label, {small_size});
    }
  }

  const WaveformSheet& sheet_;
  Window window_;
  TimeScale time_;
  StateLooks looks_;
  EventMarks marks_{};
  std::vector<ReadyPanel> panels_{};
  Box bands_frame_{};
  double left_ = 0, right_ = 0, flags_bottom_ = 0, plots_bottom_ = 0, time_title_ = 0, state_key_ = 0, event_key_ = 0,
         height_ = 0;
};

DrawResult refused(const std::string& path, std::string_view why) {
  return {false, fmt::format("picture {} not drawn: {}", path, why)};
}

}  // namespace

DrawResult draw(const WaveformSheet& sheet, const std::string& path, std::optional<Window> zoom) {
  if (const std::string fault = fault_in(sheet); !fault.empty()) { return refused(path, fault); }
  const Window window = zoom.value_or(whole_run(sheet));
  const bool usable = std::isfinite(window.from) && std::isfinite(window.to) && window.from < window.to;
  if (!usable) { return refused(path, fmt::format("no time passes between {} s and {} s", window.from, window.to)); }
  return SheetPainter(sheet, window).paint(path);
}

}  // namespace gastube::examples
