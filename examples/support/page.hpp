// SPDX-License-Identifier: MIT
#pragma once
// A page that becomes one gnuplot script: graphs with axes, and text, lines and patches placed by the pixel.
// The origin is the upper left corner, y downwards.

#include "axis.hpp"
#include "gnuplot.hpp"
#include "placement.hpp"

#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace gastube::examples {

enum class Align { left, centre, right };

struct Lettering {
  double size = 15;  ///< pixels
  Align align = Align::left;
  bool bold = false;
  std::string_view colour = "#222222";
  int turned = 0;  ///< degrees, counter-clockwise
};

struct Stroke {
  std::string_view colour = "#222222";
  double width = 1;
  std::string_view dash{};  ///< lengths, as in "8,4"; a full line without
};

/// A filled patch: a light ground, and hatching on it so that it can be told without its colour.
struct Hatch {
  std::string_view ground = "#ffffff";
  std::string_view lines = "#555555";
  int pattern = 0;  ///< one of gnuplot's; 0 for none
};

/// How much of its colour an area keeps.
constexpr double area_strength = 0.22;

class Page {
 public:
  Page(int width, int height, PictureFormat format) : width_(width), height_(height), format_(format) {}

  /// Text with its middle at the height y.
  void text(double x, double y, std::string_view words, const Lettering& lettering = {});
  /// The page's title from `left` to the right edge, in one line or two; the lines take `title_height`.
  void title(double left, std::string_view words);
  /// A line over the graphs.
  void line(const Point& from, const Point& to, const Stroke& stroke);
  /// A line beneath the graphs.
  void line_beneath(const Point& from, const Point& to, const Stroke& stroke);
  /// A patch with a thin edge.
  void patch(const Box& box, const Hatch& hatch);
  /// A patch of one colour without an edge, for text to stand on; what is beneath shows through by 1 - strength.
  void ground(const Box& box, std::string_view colour, double strength = 1);
  /// A patch in the look of a graph's area.
  void tint(const Box& box, std::string_view colour) { ground(box, colour, area_strength); }
  /// A point mark, the same as a graph's.
  void mark(double x, double y, int shape, std::string_view colour, double size = 1.2);

  [[nodiscard]] DrawResult save(const std::string& path) const;
  [[nodiscard]] int width() const { return width_; }

 private:
  friend class Graph;
  [[nodiscard]] std::string font(double size, bool bold) const;
  /// SVG draws its points about twice as large.
  [[nodiscard]] double point_size(double size) const { return format_ == PictureFormat::svg ? size * 0.55 : size; }
  [[nodiscard]] std::string layer(const std::string& commands) const;
  [[nodiscard]] std::string keep_data(const std::string& rows);

  int width_;
  int height_;
  PictureFormat format_;
  std::size_t data_blocks_ = 0;
  std::string data_{};
  std::string beneath_{};
  std::string graphs_{};
  std::string above_{};
};

/// The height at the top of a page that a title takes, in pixels.
[[nodiscard]] double title_height(std::string_view words, double left, double page_width);

/// One pair of axes on a page; it goes onto the page when `finish` is called.
class Graph {
 public:
  Graph(Page& page, const Box& frame, Axis x, Axis y)
      : page_(page), frame_(frame), x_(std::move(x)), y_(std::move(y)) {}

  void curve(const std::vector<double>& x, const std::vector<double>& y, const Stroke& stroke);
  void points(const std::vector<double>& x, const std::vector<double>& y, int shape, std::string_view colour,
              double size = 1.2);
  void area(const std::vector<double>& x, const std::vector<double>& lower, const std::vector<double>& upper,
            std::string_view colour);
  void patches(const std::vector<Box>& boxes, const Hatch& hatch);
  void level(double y, const Stroke& stroke);
  void upright(double x, const Stroke& stroke);

  void hide_x_labels() { x_labels_ = false; }
  void hide_y_ticks() { y_ticks_ = false; }
  void finish();

  /// Where a value lies on the page.
  [[nodiscard]] double x_of(double value) const {
    return frame_.left + share_of(x_, value) * (frame_.right - frame_.left);
  }
  [[nodiscard]] double y_of(double value) const {
    return frame_.bottom - share_of(y_, value) * (frame_.bottom - frame_.top);
  }

 private:
  [[nodiscard]] std::string frame_commands() const;
  [[nodiscard]] std::string axis_commands(char name, const Axis& axis, bool labels) const;
  void add_plot(const std::string& rows, std::string_view manner);

  Page& page_;
  Box frame_;
  Axis x_;
  Axis y_;
  bool x_labels_ = true;
  bool y_ticks_ = true;
  std::string lines_{};
  std::vector<std::string> plots_{};
};

/// Colours that the colour-blind can tell apart (Okabe and Ito), darkest first; they repeat.
[[nodiscard]] std::string_view series_colour(std::size_t index);

/// A dash for each series, so that a print in grey can be read as well; they repeat.
[[nodiscard]] std::string_view series_dash(std::size_t index);

/// A point shape for each series; they repeat.
[[nodiscard]] int series_shape(std::size_t index);

}  // namespace gastube::examples
