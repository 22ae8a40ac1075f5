// SPDX-License-Identifier: MIT
#include "characteristic.hpp"
#include "limit_labels.hpp"
#include "page.hpp"
#include "quantity.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace gastube::examples {
namespace {

constexpr int page_width = 1000;
constexpr double plot_height = 520;
constexpr double text_size = 15;
constexpr double small_size = 13;
constexpr double flag_row_height = 18;
constexpr double key_row_height = 24;
constexpr double sample_width = 36;

/// A dimension as it is shown: linear axes in the unit that fits, logarithmic ones in SI with prefixes on their labels.
struct ShownDimension {
  double factor = 1;
  std::string unit{};
  Axis axis{};
  std::string title{};
};

ShownDimension shown(const Dimension& dimension, Extent extent, int ticks) {
  if (dimension.logarithmic) {
    const bool prefixed = takes_prefix(dimension.unit) || dimension.unit.empty();
    const std::string title = prefixed ? dimension.label : fmt::format("{} [{}]", dimension.label, dimension.unit);
    return {1.0, dimension.unit, logarithmic_axis(extent, dimension.unit), title};
  }
  const Scale scale = engineering_scale(std::max(std::abs(extent.least), std::abs(extent.greatest)), dimension.unit);
  const Extent scaled{extent.least * scale.factor, extent.greatest * scale.factor, extent.empty};
  const std::string title = scale.unit.empty() ? dimension.label : fmt::format("{} [{}]", dimension.label, scale.unit);
  return {scale.factor, scale.unit, axis_around(scaled, ticks), title};
}

/// Takes only what the dimension's axis can show.
void include(Extent& extent, const Dimension& dimension, const std::vector<double>& values) {
  for (const double value : values) {
    if (!dimension.logarithmic || value > 0) { extent.include(value); }
  }
}

Extent extent_of_x(const CharacteristicSheet& sheet) {
  Extent extent;
  for (const Curve& curve : sheet.curves) { include(extent, sheet.x, curve.x); }
  for (const Band& band : sheet.bands) { include(extent, sheet.x, band.x); }
  for (const Marker& marker : sheet.markers) { include(extent, sheet.x, {marker.x}); }
  for (const AxisLimit& limit : sheet.x_limits) { include(extent, sheet.x, {limit.value}); }
  return extent;
}

Extent extent_of_y(const CharacteristicSheet& sheet) {
  Extent extent;
  for (const Curve& curve : sheet.curves) { include(extent, sheet.y, curve.y); }
  for (const Band& band : sheet.bands) {
    include(extent, sheet.y, band.lower);
    include(extent, sheet.y, band.upper);
  }
  for (const Marker& marker : sheet.markers) { include(extent, sheet.y, {marker.y}); }
  for (const AxisLimit& limit : sheet.y_limits) { include(extent, sheet.y, {limit.value}); }
  return extent;
}

struct KeyEntry {
  std::string label{};
  std::size_t series = 0;
  bool band = false;
  CurveStyle style = CurveStyle::line;
};

/// Curves and bands with one label are one entry, so that a family of curves is named once; they also share their
/// colour.
std::vector<KeyEntry> key_of(const CharacteristicSheet& sheet) {
  std::vector<KeyEntry> key;
  for (const Curve& curve : sheet.curves) {
    const auto same = [&](const KeyEntry& entry) { return !entry.band && entry.label == curve.label; };
    if (std::none_of(key.begin(), key.end(), same)) { key.push_back({curve.label, key.size(), false, curve.style}); }
  }
  const std::size_t curves = key.size();
  for (std::size_t index = 0; index < sheet.bands.size(); ++index) {
    key.push_back({sheet.bands[index].label, sheet.bands.size() == 1 ? 0 : curves + index, true, CurveStyle::line});
  }
  return key;
}

std::vector<double> key_widths(const std::vector<KeyEntry>& key) {
  std::vector<double> widths;
  widths.reserve(key.size());
  for (const KeyEntry& entry : key) { widths.push_back(sample_width + 8 + text_width(entry.label, small_size) + 26); }
  return widths;
}

std::vector<double> scaled(std::vector<double> values, const ShownDimension& dimension) {
  for (double& value : values) {
    const bool unseen = dimension.axis.logarithmic && !(value > 0);
    value = unseen ? std::nan("") : value * dimension.factor;
  }
  return values;
}

std::size_t unseen_values(const Dimension& dimension, const std::vector<double>& values) {
  const auto count = std::count_if(values.begin(), values.end(), [](double value) { return value <= 0; });
  return dimension.logarithmic ? static_cast<std::size_t>(count) : 0;
}

std::size_t unseen_points(const CharacteristicSheet& sheet) {
  std::size_t count = 0;
  for (const Curve& curve : sheet.curves) {
    count += unseen_values(sheet.x, curve.x) + unseen_values(sheet.y, curve.y);
  }
  for (const Band& band : sheet.bands) {
    count += unseen_values(sheet.x, band.x) + unseen_values(sheet.y, band.lower) + unseen_values(sheet.y, band.upper);
  }
  for (const Marker& marker : sheet.markers) {
    count += unseen_values(sheet.x, {marker.x}) + unseen_values(sheet.y, {marker.y});
  }
  return count;
}

void append_between(std::vector<Point>& points, const Point& from, const Point& to, double spacing) {
  const double length = std::hypot(to.x - from.x, to.y - from.y);
  if (!std::isfinite(length)) { return; }
  const int steps = static_cast<int>(std::clamp(std::ceil(length / spacing), 1.0, 1000.0));
  for (int step = 0; step <= steps; ++step) {
    const double share = static_cast<double>(step) / steps;
    points.push_back({from.x + (to.x - from.x) * share, from.y + (to.y - from.y) * share});
  }
}

bool has_points(CurveStyle style) { return style == CurveStyle::points || style == CurveStyle::line_and_points; }

/// An arrowhead at the end of a stretch, in the stretch's direction.
void paint_arrowhead(Page& page, const Point& from, const Point& to, std::string_view colour) {
  const double length = std::hypot(to.x - from.x, to.y - from.y);
  const double along_x = (to.x - from.x) / length * 11;
  const double along_y = (to.y - from.y) / length * 11;
  for (const double side : {-0.45, 0.45}) {
    page.line({to.x - along_x + side * along_y, to.y - along_y - side * along_x}, to, {colour, 2});
  }
}

/// Arrowheads about every hundred pixels along a path.
void paint_arrows(const Graph& graph, Page& page, const std::vector<double>& x, const std::vector<double>& y,
                  std::string_view colour) {
  constexpr double spacing = 110;
  double left = spacing / 2;
  for (std::size_t index = 1; index < x.size(); ++index) {
    Point from{graph.x_of(x[index - 1]), graph.y_of(y[index - 1])};
    const Point to{graph.x_of(x[index]), graph.y_of(y[index])};
    double length = std::hypot(to.x - from.x, to.y - from.y);
    if (!std::isfinite(length)) { continue; }
    while (length > left) {
      const Point tip{from.x + (to.x - from.x) * left / length, from.y + (to.y - from.y) * left / length};
      paint_arrowhead(page, from, tip, colour);
      from = tip;
      length -= left;
      left = spacing;
    }
    left -= length;
  }
}

class CharacteristicPainter {
 public:
  explicit CharacteristicPainter(const CharacteristicSheet& sheet)
      : sheet_(sheet)
      , x_(shown(sheet.x, extent_of_x(sheet), 8))
      , y_(shown(sheet.y, extent_of_y(sheet), 8))
      , key_(key_of(sheet)) {
    for (const AxisLimit& limit : sheet.y_limits) {
      // A logarithmic axis is in SI; its labels, and so this one, carry prefixes.
      const Scale scale =
          sheet.y.logarithmic ? engineering_scale(limit.value, sheet.y.unit) : Scale{y_.factor, y_.unit};
      y_limits_.push_back(limit_label(limit.label, limit.value * scale.factor, scale.unit));
      y_limits_.back().value = limit.value * y_.factor;
    }
    const double left = 104;
    const double right = page_width - std::max(30.0, label_margin(y_limits_));
    frame_ = {left, 0, right, 0};
    raise_x_limits();
    frame_.top = title_height(sheet.title, left, page_width) + 4 + flag_row_height * static_cast<double>(rows_);
    frame_.bottom = frame_.top + plot_height;
    places_ = flow(key_widths(key_), page_width - left - 8);
    const double key_rows = places_.empty() ? 0.0 : static_cast<double>(places_.back().row + 1);
    height_ = frame_.bottom + 66 + key_row_height * key_rows + 6;
  }

  [[nodiscard]] DrawResult paint(const std::string& path) {
    Page page(page_width, static_cast<int>(height_), format_of(path));
    Graph graph(page, frame_, x_.axis, y_.axis);
    page.title(frame_.left, sheet_.title);
    paint_bands(graph);
    paint_curves(graph, page);
    paint_x_limits(graph, page);
    paint_limits(y_limits_, y_.axis, graph, page, frame_);
    paint_markers(graph, page);
    graph.finish();
    page.text((frame_.left + frame_.right) / 2, frame_.bottom + 44, x_.title, {text_size, Align::centre});
    page.text(24, (frame_.top + frame_.bottom) / 2, y_.title, {text_size, Align::centre, false, "#222222", 90});
    paint_key(page);
    return page.save(path);
  }

 private:
  [[nodiscard]] double x_of(double value) const {
    return frame_.left + share_of(x_.axis, value * x_.factor) * (frame_.right - frame_.left);
  }

  [[nodiscard]] std::string flag_text(const AxisLimit& limit) const {
    const std::string number =
        fmt::format("{} {}", limit.label, engineering(limit.value * x_.factor, x_.axis.logarithmic ? x_.unit : "", 3));
    return x_.axis.logarithmic || x_.unit.empty() ? number : fmt::format("{} {}", number, x_.unit);
  }

  void raise_x_limits() {
    x_limits_ = sheet_.x_limits;
    std::stable_sort(x_limits_.begin(), x_limits_.end(),
                     [](const AxisLimit& a, const AxisLimit& b) { return a.value < b.value; });
    for (const AxisLimit& limit : x_limits_) {
      flags_.push_back({x_of(limit.value), 4 + text_width(flag_text(limit), small_size), 0});
    }
    rows_ = raise_flags(flags_);
  }

  void paint_x_limits(Graph& graph, Page& page) const {
    for (std::size_t index = 0; index < flags_.size(); ++index) {
      const Flag& flag = flags_[index];
      const double top = frame_.top - flag_row_height * static_cast<double>(flag.row + 1);
      graph.upright(x_limits_[index].value * x_.factor, limit_stroke);
      page.line({flag.x, top}, {flag.x, frame_.top}, {limit_stroke.colour, 1});
      // A flag that would leave the page hangs to the left of its pole.
      const bool turned = flag.x + flag.width > page_width - 6;
      page.text(flag.x + (turned ? -5 : 5), top + flag_row_height / 2, flag_text(x_limits_[index]),
                {small_size, turned ? Align::right : Align::left, false, limit_stroke.colour});
    }
  }

  void paint_bands(Graph& graph) const {
    for (std::size_t index = 0; index < sheet_.bands.size(); ++index) {
      const Band& band = sheet_.bands[index];
      const std::string_view colour = series_colour(key_[key_.size() - sheet_.bands.size() + index].series);
      graph.area(scaled(band.x, x_), scaled(band.lower, y_), scaled(band.upper, y_), colour);
    }
  }

  [[nodiscard]] std::size_t series_of(const Curve& curve) const {
    const auto found = std::find_if(key_.begin(), key_.end(),
                                    [&](const KeyEntry& entry) { return !entry.band && entry.label == curve.label; });
    return found->series;
  }

  void paint_curves(Graph& graph, Page& page) const {
    for (const Curve& curve : sheet_.curves) {
      const std::size_t series = series_of(curve);
      const std::vector<double> x = scaled(curve.x, x_);
      const std::vector<double> y = scaled(curve.y, y_);
      if (curve.style != CurveStyle::points) { graph.curve(x, y, {series_colour(series), 2, series_dash(series)}); }
      if (has_points(curve.style)) { graph.points(x, y, series_shape(series), series_colour(series)); }
      if (curve.style == CurveStyle::path) { paint_arrows(graph, page, x, y, series_colour(series)); }
    }
  }

  /// Points along everything that is drawn, so that labels keep off: dense along curves, sparse along limits, which a
  /// label may cross if need be.
  [[nodiscard]] std::vector<Point> drawn_points(const Graph& graph) const {
    std::vector<Point> points;
    const auto trail = [&](const std::vector<double>& x, const std::vector<double>& y, double spacing) {
      for (std::size_t index = 1; index < x.size(); ++index) {
        append_between(points, {graph.x_of(x[index - 1]), graph.y_of(y[index - 1])},
                       {graph.x_of(x[index]), graph.y_of(y[index])}, spacing);
      }
    };
    for (const Curve& curve : sheet_.curves) { trail(scaled(curve.x, x_), scaled(curve.y, y_), 3); }
    for (const AxisLimit& limit : sheet_.x_limits) {
      trail({limit.value * x_.factor, limit.value * x_.factor}, {y_.axis.from, y_.axis.to}, 12);
    }
    for (const AxisLimit& limit : sheet_.y_limits) {
      trail({x_.axis.from, x_.axis.to}, {limit.value * y_.factor, limit.value * y_.factor}, 12);
    }
    return points;
  }

  void paint_markers(const Graph& graph, Page& page) const {
    std::vector<Point> anchors;
    std::vector<double> widths;
    for (const Marker& marker : sheet_.markers) {
      anchors.push_back({graph.x_of(marker.x * x_.factor), graph.y_of(marker.y * y_.factor)});
      widths.push_back(text_width(marker.label, small_size, true) + 8);
    }
    const Box inside{frame_.left + 4, frame_.top + 4, frame_.right - 4, frame_.bottom - 4};
    const std::vector<Box> boxes = boxes_beside(anchors, widths, 20, inside, drawn_points(graph));
    for (std::size_t index = 0; index < anchors.size(); ++index) {
      const Box& box = boxes[index];
      const Point edge{std::clamp(anchors[index].x, box.left, box.right),
                       std::clamp(anchors[index].y, box.top, box.bottom)};
      page.ground(box, "#ffffff", 0.75);
      page.line(anchors[index], edge, {"#222222", 0.8});
      page.mark(anchors[index].x, anchors[index].y, 7, "#222222", 1.3);
      page.text((box.left + box.right) / 2, (box.top + box.bottom) / 2, sheet_.markers[index].label,
                {small_size, Align::centre, true});
    }
  }

  void paint_key(Page& page) const {
    for (std::size_t index = 0; index < key_.size(); ++index) {
      const KeyEntry& entry = key_[index];
      const double x = frame_.left + places_[index].x;
      const double y = frame_.bottom + 78 + key_row_height * static_cast<double>(places_[index].row);
      paint_sample(page, entry, x, y);
      page.text(x + sample_width + 8, y, fitted(entry.label, small_size, page_width - x - sample_width - 12),
                {small_size});
    }
  }

  static void paint_sample(Page& page, const KeyEntry& entry, double x, double y) {
    const std::string_view colour = series_colour(entry.series);
    if (entry.band) {
      page.tint({x, y - 8, x + sample_width, y + 8}, colour);
      return;
    }
    if (entry.style != CurveStyle::points) {
      page.line({x, y}, {x + sample_width, y}, {colour, 2.2, series_dash(entry.series)});
    }
    if (has_points(entry.style)) { page.mark(x + sample_width / 2, y, series_shape(entry.series), colour); }
  }

  const CharacteristicSheet& sheet_;
  ShownDimension x_;
  ShownDimension y_;
  std::vector<KeyEntry> key_;
  std::vector<LimitLabel> y_limits_{};
  std::vector<AxisLimit> x_limits_{};
  std::vector<Flag> flags_{};
  std::size_t rows_ = 0;
  std::vector<Place> places_{};
  Box frame_{};
  double height_ = 0;
};

}  // namespace

DrawResult draw(const CharacteristicSheet& sheet, const std::string& path) {
  if (const std::string fault = fault_in(sheet); !fault.empty()) {
    return {false, fmt::format("picture {} not drawn: {}", path, fault)};
  }
  DrawResult result = CharacteristicPainter(sheet).paint(path);
  const std::size_t unseen = unseen_points(sheet);
  if (result.drawn && unseen > 0) {
    result.message =
        fmt::format("{} values of zero or less have no place on a logarithmic axis and were left out", unseen);
  }
  return result;
}

}  // namespace gastube::examples
