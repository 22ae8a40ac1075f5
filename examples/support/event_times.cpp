// SPDX-License-Identifier: MIT
#include "event_times.hpp"

#include <gastube/tube/states.hpp>

namespace gastube::examples {

std::vector<double> EventTimes::of(std::string_view subject, std::string_view to) const {
  std::vector<double> times;
  for (const LogEntry& entry : entries) {
    if (entry.tube == subject && entry.to == to) { times.push_back(entry.time); }
  }
  return times;
}

std::vector<double> EventTimes::lit(std::string_view subject) const {
  std::vector<double> times;
  for (const LogEntry& entry : entries) {
    if (entry.tube == subject && entry.why == name(Cause::arc_formed)) { times.push_back(entry.time); }
  }
  return times;
}

}  // namespace gastube::examples
