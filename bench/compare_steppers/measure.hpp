// SPDX-License-Identifier: MIT
#pragma once
/// Times a method and holds its events against the right ones.

#include "problem.hpp"

#include <cstddef>
#include <limits>
#include <string>
#include <vector>

namespace compare {

inline constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

/// One line of the table.
struct Row {
  std::string problem, method;
  double tolerance = 0;      ///< 0: none
  double seconds = unknown;  ///< of one run
  std::size_t events = 0, expected = 0;
  double worst = unknown;        ///< s, greatest error of an event; unknown where events are lost or in another order
  double phase = unknown;        ///< s, error of the last event, which has those of all before in it
  double temperature = unknown;  ///< error at the end of P4, as a share of the hot one
  long steps = 0, solves = 0;
  std::string failure{};
  std::size_t tubes = 0;   ///< of a ring
  double bytes = unknown;  ///< the most that a run takes from the heap

  [[nodiscard]] double per_event() const { return events > 0 ? seconds / double(events) : unknown; }
  [[nodiscard]] double bytes_per_tube() const { return tubes > 0 ? bytes / double(tubes) : unknown; }
};

/// How long to measure.
struct Effort {
  double batch = 0.2;    ///< s, short runs are repeated until they have taken this long
  int batches = 3;       ///< of which the quickest counts
  double patience = 20;  ///< s; after a run this long the same method is not tried with a tighter tolerance
};

[[nodiscard]] Row measure(const Problem& problem, const Method& method, const Outcome& right, const Effort& effort);

/// The events that count as right: the closed form in long double; for rings too large for that, those of a ring of
/// 400, which the light of the run does not go round.
[[nodiscard]] Outcome right_outcome(const Problem& problem);

/// All methods on a problem: closed form, the library's, peers.
[[nodiscard]] std::vector<Row> race_on(const Problem& problem, const Effort& effort);

}  // namespace compare
