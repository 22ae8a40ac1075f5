// SPDX-License-Identifier: MIT
#pragma once
/// Asserts rows of the fidelity table.

#include "fidelity/row.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <cstring>
#include <span>
#include <string>

/// Every row lies inside its tolerance, but for the known misses, which must lie outside.
inline void check_rows(std::span<const published::Row> rows) {
  for (const published::Row& row : rows) {
    const double predicted = row.predicted();
    CAPTURE(std::string(row.id));
    CAPTURE(std::string(row.quantity));
    CAPTURE(std::string(row.conditions));
    CAPTURE(predicted);
    CAPTURE(row.published);
    CHECK(row.inside(predicted) != row.miss);
    CHECK(std::isfinite(predicted));                           // a miss must not come from nonsense
    CHECK(row.confidence != gastube::Confidence::unverified);  // a weak recollection is no reference
    CHECK(std::strlen(row.source) > 0);
  }
}
