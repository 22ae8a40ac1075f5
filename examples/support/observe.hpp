// SPDX-License-Identifier: MIT
#pragma once
// Runs a circuit and keeps what its log, its table and its picture need.
//
//   auto seen = observe(run, 0.1, {{"plates", "V", {{"left", VoltageProbe{plate}}}}});
//   seen.mark("left", "conducting", "fires");  print(log_of(seen));  deliver(seen.sheet, files);

#include <gastube/circuit/recorder.hpp>

#include "event_times.hpp"
#include "progress.hpp"
#include "sheet.hpp"

#include <functional>
#include <stdexcept>
#include <string>
#include <string_view>
#include <type_traits>
#include <utility>
#include <vector>

namespace gastube::examples {

/// A quantity to keep: anything that gives a double for a run, as the library's probes do.
template <class Run>
struct Quantity {
  std::string label{};
  std::function<double(const Run&)> probe{};
};

/// Quantities that will share one panel.
template <class Run>
struct PanelPlan {
  std::string title{};
  std::string unit{};
  std::vector<Quantity<Run>> quantities{};
  std::vector<Limit> limits{};
};

/// What was seen of a run.
struct Observed {
  WaveformSheet sheet{};  ///< panels and bands; title and events are the caller's
  EventTimes events{};
  std::size_t steps = 0;
  double begin = 0, end = 0;  ///< s
  bool cut_short = false;     ///< the run was ended after too many changes of state

  [[nodiscard]] const Trace& trace(std::size_t panel, std::size_t quantity = 0) const {
    return sheet.panels[panel].traces[quantity];
  }
  /// The least and greatest of a quantity, over the whole run or while `subject` was in `state`; NaN if it never was.
  [[nodiscard]] static double least(const Trace& trace);
  [[nodiscard]] static double greatest(const Trace& trace);
  [[nodiscard]] double least_while(std::string_view subject, std::string_view state, const Trace& trace) const;
  /// Names every entry of `subject` into the state `to` in the picture.
  void mark(std::string_view subject, std::string_view to, std::string_view name);
  /// Names every time at which the discharge of `subject` formed, but not where it relit within `pause` s.
  void mark_lit(std::string_view subject, std::string_view name, double pause = 0);
  /// Ends the bands that the changes of state make.
  void close_bands();
  /// A band for this part, from its state at the start.
  void open_band(std::string_view subject, std::string_view state);
};

/// How many changes of state a run that is watched may make; a pair of tubes that keeps relighting makes a million a
/// second.
constexpr std::size_t most_changes = 1000;

/// @throws std::runtime_error if the run could not go on
template <class Run>
void require_done(const Run& run, Status status) {
  if (succeeded(status)) return;
  throw std::runtime_error("the run stopped at " + engineering(double(value_of(run.time())), "s") + ": "
                           + name(status));
}

/// Goes on to `end`, but no further than to the change of state after the first `most`: false if it came to that.
/// @throws std::runtime_error if the run stops before
template <class Run, class Observer = Silent>
[[nodiscard]] bool calm_until(Run& run, double end, std::size_t most, Observer&& observer = {}) {
  Status status = Status::event;
  for (std::size_t changes = 0; status == Status::event; ++changes) {
    if (changes > most) return false;
    status = run.next_event(typename Run::S(end), observer);
  }
  require_done(run, status);
  return true;
}

namespace detail {
template <class Run>
struct Watcher {
  const std::vector<PanelPlan<Run>>& plan;
  Observed& seen;
  Progress progress{};

  void keep(const Run& run) {
    const double now = double(value_of(run.time()));
    for (std::size_t p = 0; p < plan.size(); ++p)
      for (std::size_t q = 0; q < plan[p].quantities.size(); ++q) {
        Trace& trace = seen.sheet.panels[p].traces[q];
        trace.time.push_back(now);
        trace.value.push_back(plan[p].quantities[q].probe(run));
      }
    progress.reach((now - seen.begin) / (seen.end - seen.begin));
  }
  void step(const Run& run) {
    ++seen.steps;
    keep(run);
  }
  void arrive(const Run& run) { keep(run); }
  template <class S>
  void change(const S& time, const Change& what) {
    seen.events.change(time, what);
  }
};
}  // namespace detail

/// Runs to `end` and keeps the planned quantities at every step, the states of all tubes and relays, and the log.
/// @throws std::runtime_error if the run stops before
template <class Run>
[[nodiscard]] Observed observe(Run& run, double end, const std::type_identity_t<std::vector<PanelPlan<Run>>>& plan) {
  Observed seen{.begin = double(value_of(run.time())), .end = end};
  run.system().look(run.instant(), run.mode(), [&](const auto& part, const auto&, const auto& memory) {
    if constexpr (requires { TubeState(memory.state); }) seen.open_band(part.label, name(memory.state));
    if constexpr (requires { name(memory.armature); }) seen.open_band(part.label, name(memory.armature));
  });
  for (const PanelPlan<Run>& panel : plan) {
    seen.sheet.panels.push_back({panel.title, panel.unit, {}, panel.limits});
    for (const Quantity<Run>& quantity : panel.quantities)
      seen.sheet.panels.back().traces.push_back({quantity.label, {}, {}});
  }
  detail::Watcher<Run> watcher{plan, seen};
  watcher.keep(run);
  seen.cut_short = !calm_until(run, end, most_changes, watcher);
  seen.end = double(value_of(run.time()));
  seen.close_bands();
  return seen;
}

/// The log of a run, and a remark if the run was cut short.
[[nodiscard]] std::string log_of(const Observed& seen, std::size_t most = 60);

}  // namespace gastube::examples
