// SPDX-License-Identifier: MIT
#pragma once
/// Observer that writes down every event of a run.

#include <gastube/stepping/system.hpp>

#include <string_view>
#include <vector>

template <class S>
struct EventLog {
  struct Event {
    S time;
    gastube::Change change;
  };
  std::vector<Event> events;

  void change(const S& time, const gastube::Change& change) { events.push_back({time, change}); }

  /// When `subject` entered state `to`.
  [[nodiscard]] std::vector<S> times(std::string_view subject, std::string_view to) const {
    std::vector<S> found;
    for (const Event& event : events)
      if (event.change.subject == subject && event.change.to == to) found.push_back(event.time);
    return found;
  }
  [[nodiscard]] std::size_t count(std::string_view subject, std::string_view to) const {
    return times(subject, to).size();
  }
};
