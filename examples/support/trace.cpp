// SPDX-License-Identifier: MIT
#include "trace.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>

namespace gastube::examples {
namespace {

double between(const Trace& trace, std::size_t after, double time) {
  const double start = trace.time[after - 1];
  const double share = (time - start) / (trace.time[after] - start);
  return trace.value[after - 1] + share * (trace.value[after] - trace.value[after - 1]);
}

void append(Trace& trace, double time, double value) {
  trace.time.push_back(time);
  trace.value.push_back(value);
}

/// The samples of one column that must stay, by their index.
struct Kept {
  explicit Kept(std::size_t index) : first(index), least(index), greatest(index), last(index), gap(index) {}

  void take(const Trace& trace, std::size_t index) {
    const double value = trace.value[index];
    last = index;
    if (std::isnan(value)) {
      gap = index;
      return;
    }
    // Written so that a NaN that came first gives way to any number.
    least = trace.value[least] <= value ? least : index;
    greatest = trace.value[greatest] >= value ? greatest : index;
  }

  void move_to(Trace& thinned, const Trace& trace) const {
    std::array<std::size_t, 5> indices{first, least, greatest, last, gap};
    std::sort(indices.begin(), indices.end());
    const auto end = std::unique(indices.begin(), indices.end());
    std::for_each(indices.begin(), end,
                  [&](std::size_t index) { append(thinned, trace.time[index], trace.value[index]); });
  }

  std::size_t first, least, greatest, last, gap;
};

std::size_t column_of(const Trace& trace, std::size_t index, std::size_t columns) {
  const double whole = trace.time.back() - trace.time.front();
  const double share = whole > 0 ? (trace.time[index] - trace.time.front()) / whole : 0.0;
  return std::min(columns - 1, static_cast<std::size_t>(share * static_cast<double>(columns)));
}

}  // namespace

Trace clip(const Trace& trace, double from, double to) {
  const auto begin = trace.time.begin();
  const auto first = static_cast<std::size_t>(std::lower_bound(begin, trace.time.end(), from) - begin);
  const auto end = static_cast<std::size_t>(std::upper_bound(begin, trace.time.end(), to) - begin);
  Trace part{trace.label, {}, {}};
  if (first > 0 && first < trace.time.size() && trace.time[first] > from) {
    append(part, from, between(trace, first, from));
  }
  for (std::size_t index = first; index < end; ++index) { append(part, trace.time[index], trace.value[index]); }
  if (end > 0 && end < trace.time.size() && trace.time[end - 1] < to) { append(part, to, between(trace, end, to)); }
  return part;
}

Trace thin(const Trace& trace, std::size_t columns) {
  if (columns == 0) { throw std::invalid_argument("thin: a trace needs at least one column"); }
  if (trace.time.size() <= 4 * columns) { return trace; }
  Trace thinned{trace.label, {}, {}};
  Kept kept(0);
  std::size_t column = 0;
  for (std::size_t index = 1; index < trace.time.size(); ++index) {
    const std::size_t next = column_of(trace, index, columns);
    if (next != column) {
      kept.move_to(thinned, trace);
      kept = Kept(index);
      column = next;
    }
    kept.take(trace, index);
  }
  kept.move_to(thinned, trace);
  return thinned;
}

}  // namespace gastube::examples
