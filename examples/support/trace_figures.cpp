// SPDX-License-Identifier: MIT
#include "trace_figures.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace gastube::examples {

double Figures::ripple() const { return std::sqrt(std::max(0.0, rms * rms - mean * mean)); }

Figures figures_of(const Trace& trace, double from, double to) {
  if (!(from < to) || trace.time.empty() || trace.time.front() > from || trace.time.back() < to) {
    throw std::invalid_argument("figures of a trace: it does not cover the stretch of time");
  }
  const Trace part = clip(trace, from, to);
  Figures found{0, 0, part.value.front(), part.value.front()};
  for (std::size_t k = 1; k < part.time.size(); ++k) {
    const double a = part.value[k - 1], b = part.value[k], length = part.time[k] - part.time[k - 1];
    found.mean += length * (a + b) / 2;
    found.rms += length * (a * a + a * b + b * b) / 3;
    found.least = std::min(found.least, b);
    found.greatest = std::max(found.greatest, b);
  }
  found.mean /= to - from;
  found.rms = std::sqrt(found.rms / (to - from));
  return found;
}

double time_in(const StateBand& band, std::string_view state, double from, double to) {
  double sum = 0;
  for (const Span& span : band.spans) {
    if (span.state == state) { sum += std::max(0.0, std::min(span.to, to) - std::max(span.from, from)); }
  }
  return sum;
}

}  // namespace gastube::examples
