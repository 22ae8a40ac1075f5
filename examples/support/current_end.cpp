// SPDX-License-Identifier: MIT
#include "current_end.hpp"

#include <algorithm>

namespace gastube::examples {

CurrentEnd<double> current_end(const Trace& current, const Trace& plate, double end, double stretch) {
  const auto before = clip(current, end - stretch, end).value;
  const double fallen = before.empty() ? 0 : std::max(0.0, before.front());
  const Trace after = clip(plate, end, end + 50 * stretch);
  double steepest = 0;
  for (std::size_t k = 0; k < after.time.size(); ++k) {
    steepest = std::max(steepest, -after.value[k] / std::max(after.time[k] - end, stretch));
  }
  return {fallen / stretch, steepest};
}

}  // namespace gastube::examples
