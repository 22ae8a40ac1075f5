// SPDX-License-Identifier: MIT
#pragma once
/// What the library is to reach, and what it does reach.

#include "measure.hpp"

#include <string>
#include <vector>

namespace compare {

struct Goal {
  std::string problem, what;
  double wanted = 0, reached = unknown;
  bool at_least = true;  ///< else at most
  [[nodiscard]] bool met() const { return at_least ? reached >= wanted : reached <= wanted; }
  [[nodiscard]] bool measured() const { return reached == reached; }
};

/// Those of the problems that were run.
[[nodiscard]] std::vector<Goal> goals_of(const std::vector<Row>& rows);

/// The scheme the goals of P1 to P3s and P5 are for; P4's are for the quickest scheme that is true enough.
inline constexpr const char *exact_scheme = "exact", *exact_scheme_warm = "exact, warm";

}  // namespace compare
