// SPDX-License-Identifier: MIT
#pragma once
/// What a run of one method on one problem gives.

#include <cstddef>
#include <string>
#include <vector>

namespace compare {

/// A tube lights or goes out.
struct Event {
  double time;  ///< s
  int tube;     ///< 0, 1, ...
  bool lit;     ///< afterwards
};

struct Outcome {
  std::vector<Event> events;
  long steps = 0;          ///< accepted; 0 where a method has none
  long solves = 0;         ///< equations solved to locate events (gastube), right-hand sides evaluated (the peers)
  double temperature = 0;  ///< of P4's filament at the end, as a share of the hot one
  std::string failure{};   ///< empty after a run that went to its end

  void note(double time, int tube, bool lit) { events.push_back({time, tube, lit}); }
  /// Makes ready for another run; storage stays.
  void clear() {
    events.clear();
    steps = solves = 0;
    temperature = 0;
    failure.clear();
  }
};

}  // namespace compare
