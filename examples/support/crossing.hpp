// SPDX-License-Identifier: MIT
#pragma once
// Where a falling function of one quantity passes zero: two characteristics that meet.

#include <functional>

namespace gastube::examples {

/// @param f above 0 at `low` and not above 0 at `high`, continuous between
/// @return where it passes zero, to a billionth of the range; `low` or `high` if f has one sign throughout
[[nodiscard]] double crossing(double low, double high, const std::function<double(double)>& f);

}  // namespace gastube::examples
