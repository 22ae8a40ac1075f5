// SPDX-License-Identifier: MIT
#include "event_times.hpp"

namespace gastube::examples {

std::vector<double> EventTimes::of(std::string_view subject, std::string_view to) const {
  std::vector<double> times;
  for (const LogEntry& entry : entries) {
    if (entry.tube == subject && entry.to == to) { times.push_back(entry.time); }
  }
  return times;
}

}  // namespace gastube::examples
