// SPDX-License-Identifier: MIT
#pragma once
// A characteristic sheet: one quantity against another, as plain data, and the two things done with it. It serves
// ignition characteristics with their production band, load lines, and work against precision on logarithmic axes.

#include "picture.hpp"

#include <string>
#include <vector>

namespace gastube::examples {

/// One axis of a characteristic.
struct Dimension {
  std::string label{};
  std::string unit{};  ///< without a prefix: V, A, W, ohm... empty for a plain number
  bool logarithmic = false;
};

/// A path is a line with arrowheads that show which way it is gone.
enum class CurveStyle { line, points, line_and_points, path };

struct Curve {
  std::string label{};
  std::vector<double> x{};  ///< SI
  std::vector<double> y{};  ///< SI, one for each x; NaN leaves a gap
  CurveStyle style = CurveStyle::line;
};

/// The area between two curves: a production spread, a tolerance.
struct Band {
  std::string label{};
  std::vector<double> x{};
  std::vector<double> lower{};
  std::vector<double> upper{};
};

/// A single point with its name beside it: an operating point.
struct Marker {
  std::string label{};
  double x = 0;
  double y = 0;
};

/// A level on one of the axes, drawn as a dashed line.
struct AxisLimit {
  std::string label{};
  double value = 0;
};

struct CharacteristicSheet {
  std::string title{};
  Dimension x{};
  Dimension y{};
  std::vector<Curve> curves{};
  std::vector<Band> bands{};
  std::vector<Marker> markers{};
  std::vector<AxisLimit> x_limits{};
  std::vector<AxisLimit> y_limits{};
};

/// What is wrong with a sheet, empty when nothing is.
[[nodiscard]] std::string fault_in(const CharacteristicSheet& sheet);

/// Writes one row for each point: what it belongs to (curve, band, marker, x limit, y limit), its label, x, y, and for
/// a band the upper y. Numbers have as many digits as it takes to read the same double back.
[[nodiscard]] WriteResult write_csv(const CharacteristicSheet& sheet, const std::string& path);

/// Draws the sheet as PNG or SVG by the ending of `path`. Points that a logarithmic axis cannot show are left out, and
/// the message counts them.
[[nodiscard]] DrawResult draw(const CharacteristicSheet& sheet, const std::string& path);

}  // namespace gastube::examples
