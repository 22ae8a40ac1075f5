// SPDX-License-Identifier: MIT
#pragma once
// What is asked of a pulse: how long, how high, how flat.

#include "trace.hpp"

namespace gastube::examples {

struct PulseShape {
  double begin = 0, width = 0;  ///< s, at half of the top
  double peak = 0;              ///< greatest value
  double top = 0;               ///< mean over the middle 60 % of the width
  double unevenness = 0;        ///< half of greatest less least over that middle, as a share of the top
  double rise = 0;              ///< s from 10 to 90 % of the top
  double steepest = 0;          ///< greatest slope between two samples of the rise, 1/s
};

/// The shape of the one positive pulse in a trace that begins and ends near 0; all 0 if nothing is above 0.
[[nodiscard]] PulseShape shape_of(const Trace& pulse);

/// Mean over time, as if the samples were joined by straight lines; NaN of a trace that lasts no time.
[[nodiscard]] double mean_of(const Trace& trace);

}  // namespace gastube::examples
