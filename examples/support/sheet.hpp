// SPDX-License-Identifier: MIT
#pragma once
// A waveform sheet: everything a run has to show against time, as plain data, and the two things done with it.

#include "picture.hpp"
#include "trace.hpp"

#include <optional>
#include <string>
#include <vector>

namespace gastube::examples {

/// A level that a quantity is held against, drawn as a dashed line: "rated peak plate current".
struct Limit {
  std::string label{};
  double value = 0;  ///< SI, in the panel's unit
};

/// Traces that share one unit and one vertical axis.
struct Panel {
  std::string title{};
  std::string unit{};  ///< without a prefix: V, A, W, ohm, degC...
  std::vector<Trace> traces{};
  std::vector<Limit> limits{};
};

/// A tube in one state for a while; the spans of a tube are in order and do not overlap.
struct Span {
  double from = 0;  ///< s
  double to = 0;    ///< s, not before `from`
  std::string state{};
};

struct StateBand {
  std::string tube{};
  std::vector<Span> spans{};
};

struct EventMark {
  double time = 0;  ///< s
  std::string name{};
};

struct WaveformSheet {
  std::string title{};
  std::vector<Panel> panels{};
  std::vector<StateBand> bands{};
  std::vector<EventMark> events{};
};

/// What is wrong with a sheet ("trace 'plate': 12 times and 11 values"), empty when nothing is.
[[nodiscard]] std::string fault_in(const WaveformSheet& sheet);

/// Writes one table: a column of time in s, one for each trace in its unit, one for the state of each tube, one for
/// events. There is a row for each instant of which anything is known, in order; a cell is empty where a trace has no
/// sample. Numbers have as many digits as it takes to read the same double back.
[[nodiscard]] WriteResult write_csv(const WaveformSheet& sheet, const std::string& path);

/// Draws the sheet as PNG or SVG by the ending of `path`: panels one above the other on one time axis, tubes' states
/// below them, events as numbered or named lines. With a zoom, only that stretch of time.
[[nodiscard]] DrawResult draw(const WaveformSheet& sheet, const std::string& path,
                              std::optional<Window> zoom = std::nullopt);

}  // namespace gastube::examples
