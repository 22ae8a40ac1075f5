// SPDX-License-Identifier: MIT
#include "page.hpp"

#include <fmt/format.h>

#include <array>

namespace gastube::examples {
namespace {

constexpr std::string_view frame_colour = "#888888";
constexpr std::string_view grid_colour = "#dddddd";
constexpr std::string_view tick_colour = "#333333";

constexpr double title_size = 19;
constexpr double title_row = 25;

std::vector<std::string> title_lines(std::string_view words, double left, double page_width) {
  return in_two_lines(words, title_size, page_width - left - 8, true);
}

std::string line_style(const Stroke& stroke) {
  const std::string dash = stroke.dash.empty() ? std::string("solid") : fmt::format("({})", stroke.dash);
  return fmt::format("lc rgb '{}' lw {:.3g} dt {}", stroke.colour, stroke.width, dash);
}

std::string arrow(const Point& from, const Point& to, const Stroke& stroke) {
  return fmt::format("set arrow from {:.2f},{:.2f} to {:.2f},{:.2f} nohead front {}\n", from.x, from.y, to.x, to.y,
                     line_style(stroke));
}

std::string rectangle(const Box& box, std::string_view colour, std::string_view fill) {
  return fmt::format("set object rectangle from {:.2f},{:.2f} to {:.2f},{:.2f} front fc rgb '{}' fs {}\n", box.left,
                     box.bottom, box.right, box.top, colour, fill);
}

std::string_view name_of(Align align) {
  constexpr std::array<std::string_view, 3> names{"left", "center", "right"};
  return names[static_cast<std::size_t>(align)];
}

std::string row(double x, double y) { return fmt::format("{:.10g} {:.8g}\n", x, y); }

std::string rows_of(const std::vector<double>& x, const std::vector<double>& y) {
  std::string rows;
  for (std::size_t index = 0; index < x.size(); ++index) { rows += row(x[index], y[index]); }
  return rows;
}

}  // namespace

std::string Page::font(double size, bool bold) const {
  // Cairo counts in points of 1/72 inch at 96 dots an inch, SVG in pixels.
  const double unit = format_ == PictureFormat::svg ? 1.0 : 0.75;
  return fmt::format("font 'DejaVu Sans{},{:.4g}'", bold ? " Bold" : "", size * unit);
}

void Page::text(double x, double y, std::string_view words, const Lettering& lettering) {
  const std::string turned = lettering.turned != 0 ? fmt::format("rotate by {} ", lettering.turned) : std::string();
  above_ += fmt::format("set label {} at {:.2f},{:.2f} {} {}front textcolor rgb '{}' {}\n", gnuplot_string(words), x, y,
                        name_of(lettering.align), turned, lettering.colour, font(lettering.size, lettering.bold));
}

void Page::title(double left, std::string_view words) {
  double y = 24;
  for (const std::string& line : title_lines(words, left, width_)) {
    text(left, y, line, {title_size, Align::left, true});
    y += title_row;
  }
}

void Page::line(const Point& from, const Point& to, const Stroke& stroke) { above_ += arrow(from, to, stroke); }

void Page::line_beneath(const Point& from, const Point& to, const Stroke& stroke) {
  beneath_ += arrow(from, to, stroke);
}

void Page::patch(const Box& box, const Hatch& hatch) {
  above_ += rectangle(box, hatch.ground, "solid 1.0 noborder");
  if (hatch.pattern != 0) {
    above_ += rectangle(box, hatch.lines, fmt::format("transparent pattern {} noborder", hatch.pattern));
  }
  above_ += rectangle(box, frame_colour, fmt::format("empty border lc rgb '{}'", frame_colour));
}

void Page::ground(const Box& box, std::string_view colour, double strength) {
  above_ += rectangle(box, colour, fmt::format("transparent solid {:.3g} noborder", strength));
}

void Page::mark(double x, double y, int shape, std::string_view colour, double size) {
  above_ += fmt::format("set label '' at {:.2f},{:.2f} front point pt {} ps {:.3g} lc rgb '{}'\n", x, y, shape,
                        point_size(size), colour);
}

std::string Page::keep_data(const std::string& rows) {
  std::string name = fmt::format("$block{}", ++data_blocks_);
  data_ += fmt::format("{} << END_OF_BLOCK\n{}END_OF_BLOCK\n", name, rows);
  return name;
}

/// A plot of nothing over the whole page, for gnuplot draws labels, arrows and rectangles only with a plot.
std::string Page::layer(const std::string& commands) const {
  return fmt::format(
      "reset\nunset key\nunset border\nunset tics\nset lmargin at screen 0\nset rmargin at screen 1\n"
      "set bmargin at screen 0\nset tmargin at screen 1\nset xrange [0:{}]\nset yrange [{}:0]\n{}plot NaN notitle\n",
      width_, height_, commands);
}

DrawResult Page::save(const std::string& path) const {
  const std::string script =
      fmt::format("{}set multiplot\n{}{}{}unset multiplot\n", data_, layer(beneath_), graphs_, layer(above_));
  return run_gnuplot(script, path, width_, height_);
}

double title_height(std::string_view words, double left, double page_width) {
  return 21 + title_row * static_cast<double>(title_lines(words, left, page_width).size());
}

void Graph::add_plot(const std::string& rows, std::string_view manner) {
  if (!rows.empty()) { plots_.push_back(fmt::format("{} {} notitle", page_.keep_data(rows), manner)); }
}

void Graph::curve(const std::vector<double>& x, const std::vector<double>& y, const Stroke& stroke) {
  add_plot(rows_of(x, y), fmt::format("using 1:2 with lines {}", line_style(stroke)));
}

void Graph::points(const std::vector<double>& x, const std::vector<double>& y, int shape, std::string_view colour,
                   double size) {
  add_plot(rows_of(x, y), fmt::format("using 1:2 with points pt {} ps {:.3g} lw 1.6 lc rgb '{}'", shape,
                                      page_.point_size(size), colour));
}

void Graph::area(const std::vector<double>& x, const std::vector<double>& lower, const std::vector<double>& upper,
                 std::string_view colour) {
  std::string rows;
  for (std::size_t index = 0; index < x.size(); ++index) {
    rows += fmt::format("{:.10g} {:.8g} {:.8g}\n", x[index], lower[index], upper[index]);
  }
  add_plot(rows, fmt::format("using 1:2:3 with filledcurves fc rgb '{}' fs transparent solid {} noborder", colour,
                             area_strength));
}

void Graph::patches(const std::vector<Box>& boxes, const Hatch& hatch) {
  std::string rows;
  for (const Box& box : boxes) {
    rows += fmt::format("{:.10g} {:.8g} {:.10g} {:.10g} {:.8g} {:.8g}\n", (box.left + box.right) / 2,
                        (box.top + box.bottom) / 2, box.left, box.right, box.top, box.bottom);
  }
  add_plot(rows, fmt::format("using 1:2:3:4:5:6 with boxxyerror fc rgb '{}' fs solid 1.0 noborder", hatch.ground));
  if (hatch.pattern != 0) {
    add_plot(rows, fmt::format("using 1:2:3:4:5:6 with boxxyerror fc rgb '{}' fs transparent pattern {} noborder",
                               hatch.lines, hatch.pattern));
  }
}

void Graph::level(double y, const Stroke& stroke) {
  lines_ += fmt::format("set arrow from graph 0,first {0:.10g} to graph 1,first {0:.10g} nohead front {1}\n", y,
                        line_style(stroke));
}

void Graph::upright(double x, const Stroke& stroke) {
  lines_ += fmt::format("set arrow from first {0:.10g},graph 0 to first {0:.10g},graph 1 nohead front {1}\n", x,
                        line_style(stroke));
}

std::string Graph::axis_commands(char name, const Axis& axis, bool labels) const {
  std::string ticks;
  for (const Tick& tick : axis.ticks) {
    ticks += fmt::format("{}{} {:.10g}", ticks.empty() ? "" : ", ", gnuplot_string(labels ? tick.label : ""), tick.at);
  }
  for (const double at : axis.minor) { ticks += fmt::format("{}'' {:.10g} 1", ticks.empty() ? "" : ", ", at); }
  return fmt::format(
      "set {0}range [{1:.12g}:{2:.12g}]\n{3}set {0}tics ({4}) nomirror scale 0.6,0.3 textcolor rgb '{5}' {6}\n", name,
      axis.from, axis.to, axis.logarithmic ? fmt::format("set logscale {}\n", name) : "", ticks, tick_colour,
      page_.font(14, false));
}

std::string Graph::frame_commands() const {
  const double width = page_.width_;
  const double height = page_.height_;
  return fmt::format(
      "reset\nunset key\nset lmargin at screen {:.6f}\nset rmargin at screen {:.6f}\nset bmargin at screen {:.6f}\n"
      "set tmargin at screen {:.6f}\nset border 15 lc rgb '{}' lw 1\n",
      frame_.left / width, frame_.right / width, 1 - frame_.bottom / height, 1 - frame_.top / height, frame_colour);
}

void Graph::finish() {
  std::string script = frame_commands() + axis_commands('x', x_, x_labels_) + axis_commands('y', y_, true);
  if (!y_ticks_) { script += "unset ytics\n"; }
  script += fmt::format("set grid xtics {} back lt 1 lc rgb '{}' lw 0.6\n", y_ticks_ ? "ytics" : "", grid_colour);
  script += lines_ + "plot ";
  for (const std::string& plot : plots_) { script += plot + ", "; }
  page_.graphs_ += script + "NaN notitle\n";
}

std::string_view series_colour(std::size_t index) {
  constexpr std::array<std::string_view, 7> colours{"#0072b2", "#d55e00", "#009e73", "#aa4499",
                                                    "#000000", "#e69f00", "#56b4e9"};
  return colours[index % colours.size()];
}

std::string_view series_dash(std::size_t index) {
  constexpr std::array<std::string_view, 5> dashes{"", "14,4", "4,3", "14,4,3,4", "22,5"};
  return dashes[index % dashes.size()];
}

int series_shape(std::size_t index) {
  constexpr std::array<int, 7> shapes{7, 5, 9, 13, 6, 4, 8};
  return shapes[index % shapes.size()];
}

}  // namespace gastube::examples
