// SPDX-License-Identifier: MIT
#pragma once
// Every change of state in a run, in order, with the times at which something happened. It is an observer by itself,
// for runs that are only counted.

#include <gastube/stepping/system.hpp>

#include "report.hpp"

#include <string_view>
#include <vector>

namespace gastube::examples {

struct EventTimes {
  std::vector<LogEntry> entries{};

  template <class S>
  void change(const S& time, const Change& what) {
    entries.push_back({static_cast<double>(value_of(time)), what.subject, what.from, what.to, what.why});
  }
  /// When `subject` entered the state `to`, s.
  [[nodiscard]] std::vector<double> of(std::string_view subject, std::string_view to) const;
  /// When its discharge formed, s, whatever it then is called: an arc, a glow, an abnormal glow.
  [[nodiscard]] std::vector<double> lit(std::string_view subject) const;
  [[nodiscard]] std::size_t count(std::string_view subject, std::string_view to) const {
    return of(subject, to).size();
  }
};

}  // namespace gastube::examples
