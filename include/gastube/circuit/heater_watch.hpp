// SPDX-License-Identifier: MIT
#pragma once
/// Observer of the voltage between a tube's heater and cathode as a run goes: the circuit moves the cathode, or what
/// the heater's supply is tied to, and the insulation between them is thin.
///   HeaterWatch watch(run.system().find("5727"), {.heater = 6.3});  run.run_until(1.0, watch);
///   watch.margin(run).kept()

#include "gastube/circuit/wired_tube.hpp"
#include "gastube/tube/cathode/heater_connection.hpp"

#include <string>

namespace gastube {

template <Real S>
class HeaterWatch {
 public:
  /// @param part number of the tube, see Circuit::find
  /// @param supply across the heater, and where it is tied; its `offset` counts on top of what the circuit does
  /// @throws InvalidParameter
  HeaterWatch(std::size_t part, const HeaterConnection<S>& supply) : part_(part), supply_(supply) { supply_.check(); }

  template <class Run>
  void step(const Run& run) {
    keep(run);
  }
  template <class Run>
  void arrive(const Run& run) {
    keep(run);
  }
  /// V, greatest and least of the tie above the cathode so far; both 0 before the first step.
  [[nodiscard]] S highest() const { return seen_ ? highest_ : S(0); }
  [[nodiscard]] S lowest() const { return seen_ ? lowest_ : S(0); }
  /// What was left of the tube's ratings at the worst moments, the heater's own voltage included.
  [[nodiscard]] HeaterMargin<S> margin(const Ratings<S>& ratings) const {
    HeaterConnection<S> up = supply_, down = supply_;
    up.offset += highest();
    down.offset += lowest();
    return {heater_margin(up, ratings).positive, heater_margin(down, ratings).negative};
  }
  /// The same with the ratings of the tube watched.
  template <class Run>
    requires requires(const Run& run) { run.system(); }
  [[nodiscard]] HeaterMargin<S> margin(const Run& run) const {
    HeaterMargin<S> result{};
    tube_of(run, [&](const auto& tube, const auto&) { result = margin(tube.tube.laws().ratings); });
    return result;
  }

 private:
  template <class Run>
  void keep(const Run& run) {
    tube_of(run, [&](const auto& tube, const auto& view) {
      const S volts = tube.heater_above_cathode(view);
      highest_ = seen_ ? math::max(highest_, volts) : volts;
      lowest_ = seen_ ? math::min(lowest_, volts) : volts;
      seen_ = true;
    });
  }
  /// f(tube, view) of the tube watched. @throws InvalidRequest if that part is none, or its heater is not wired
  template <class Run, class Function>
  void tube_of(const Run& run, Function&& f) const {
    std::size_t index = 0;
    bool found = false;
    run.system().look(run.instant(), run.mode(), [&](const auto& part, const auto& view, const auto&) {
      if constexpr (requires {
                      part.heater_above_cathode(view);
                      part.tube.laws().ratings;
                    })
        if (index == part_ && part.heater_wired()) f(part, view), found = true;
      ++index;
    });
    if (!found)
      detail::raise(InvalidRequest("heater watch: part " + std::to_string(part_)
                                   + " is no tube with a wired heater and ratings: give it .heater = the node that its "
                                     "heater's supply is tied to"));
  }

  std::size_t part_;
  HeaterConnection<S> supply_;
  S highest_ = S(0), lowest_ = S(0);
  bool seen_ = false;
};
template <Real S>
HeaterWatch(std::size_t, const HeaterConnection<S>&) -> HeaterWatch<S>;

}  // namespace gastube
