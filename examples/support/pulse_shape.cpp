// SPDX-License-Identifier: MIT
#include "pulse_shape.hpp"

#include <algorithm>
#include <cmath>

namespace gastube::examples {
namespace {

/// Where a line through samples k - 1 and k is at `level`.
double crossing(const Trace& t, std::size_t k, double level) {
  const double span = t.value[k] - t.value[k - 1];
  return span == 0 ? t.time[k] : t.time[k - 1] + (t.time[k] - t.time[k - 1]) * (level - t.value[k - 1]) / span;
}
double first_above(const Trace& t, double level) {
  for (std::size_t k = 1; k < t.time.size(); ++k) {
    if (t.value[k] >= level) { return crossing(t, k, level); }
  }
  return t.time.back();
}
double last_above(const Trace& t, double level) {
  for (std::size_t k = t.time.size() - 1; k > 0; --k) {
    if (t.value[k - 1] >= level) { return crossing(t, k, level); }
  }
  return t.time.front();
}
Trace middle(const Trace& pulse, double begin, double width) {
  return clip(pulse, begin + 0.2 * width, begin + 0.8 * width);
}

}  // namespace

double mean_of(const Trace& trace) {
  double area = 0;
  for (std::size_t k = 1; k < trace.time.size(); ++k) {
    area += 0.5 * (trace.value[k] + trace.value[k - 1]) * (trace.time[k] - trace.time[k - 1]);
  }
  return trace.time.empty() ? std::nan("") : area / (trace.time.back() - trace.time.front());
}

PulseShape shape_of(const Trace& pulse) {
  PulseShape shape;
  if (pulse.value.size() < 3) { return shape; }
  shape.peak = *std::max_element(pulse.value.begin(), pulse.value.end());
  if (!(shape.peak > 0)) { return {}; }
  shape.top = shape.peak;
  for (int round = 0; round < 3; ++round) {  // half of the top is found with the top, and the top between the halves
    shape.begin = first_above(pulse, 0.5 * shape.top);
    shape.width = last_above(pulse, 0.5 * shape.top) - shape.begin;
    shape.top = mean_of(middle(pulse, shape.begin, shape.width));
  }
  const auto flat = middle(pulse, shape.begin, shape.width).value;
  const auto [least, greatest] = std::minmax_element(flat.begin(), flat.end());
  shape.unevenness = 0.5 * (*greatest - *least) / shape.top;
  const double low = first_above(pulse, 0.1 * shape.top), high = first_above(pulse, 0.9 * shape.top);
  shape.rise = high - low;
  const Trace edge = clip(pulse, low, high);
  for (std::size_t k = 1; k < edge.time.size(); ++k) {
    const double step = edge.time[k] - edge.time[k - 1];
    if (step > 0) { shape.steepest = std::max(shape.steepest, (edge.value[k] - edge.value[k - 1]) / step); }
  }
  return shape;
}

}  // namespace gastube::examples
