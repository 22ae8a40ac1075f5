// SPDX-License-Identifier: MIT
#pragma once
// What instruments would show of a trace: mean, r.m.s. value, peaks, and the share of time that a tube is lit.

#include "sheet.hpp"
#include "trace.hpp"

#include <string_view>

namespace gastube::examples {

/// SI, over a stretch of time.
struct Figures {
  double mean = 0;
  double rms = 0;
  double least = 0;
  double greatest = 0;

  /// r.m.s. value of what is left without the mean.
  [[nodiscard]] double ripple() const;
};

/// Between the samples the trace counts as straight: its r.m.s. value is that of the straight pieces.
/// @throws std::invalid_argument unless `from` is before `to` and the trace has samples on both sides of the stretch
[[nodiscard]] Figures figures_of(const Trace& trace, double from, double to);

/// s that a tube spends in a state between two times.
[[nodiscard]] double time_in(const StateBand& band, std::string_view state, double from, double to);

}  // namespace gastube::examples
