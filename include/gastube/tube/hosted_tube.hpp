// SPDX-License-Identifier: MIT
#pragma once
/// A tube in a host's own loop: terminal voltages in; currents, their slopes and the time to the next change out.
/// Needs no circuit, no stepper and no Eigen.

#include "gastube/support/root.hpp"
#include "gastube/tube/machine.hpp"

namespace gastube {

/// What a host's solver puts into its matrix: currents into the terminals, linearised at the given voltages.
template <Real S>
struct TubeResponse {
  S plate_current = S(0), grid_current = S(0);  ///< A, into plate and grid, out of the cathode
  S plate_by_plate = S(0), plate_by_grid = S(0), plate_by_shield = S(0);  ///< S
  S grid_by_plate = S(0), grid_by_grid = S(0);                            ///< S
};

template <TubeMachine Tube>
class HostedTube {
 public:
  using S = typename Tube::Scalar;
  static_assert(is_plain<S>, "a host steps with a plain scalar");

  /// @param warm  false: the heater is switched on at `time`
  /// @param series_resistance ohm, above 0: counted into the arc and the arc-back, so that their current has a finite
  ///        slope; more than the slope of a falling arc law at the sustaining current
  /// @throws InvalidParameter
  explicit HostedTube(const Tube& tube, S time = S(0), bool warm = true, S series_resistance = S(0.5))
      : tube_(tube), memory_(warm ? tube.warm(time) : tube.switched_on(time)), time_(time), series_(series_resistance) {
    Check{"hosted tube"}
        .above("series_resistance", series_, 0.0, "ohm")
        .that(series_ + steepest_fall() > S(0), "series_resistance", series_, "ohm",
              "more than the falling slope of the arc law");
  }

  [[nodiscard]] TubeState state() const noexcept { return memory_.state; }
  [[nodiscard]] S time() const noexcept { return time_; }
  [[nodiscard]] S residual() const noexcept { return residual_; }
  /// What the host's circuit can offer between plate and cathode, for the question whether an arc can be fed.
  void offer(const Feed<S>& feed) { memory_.feed = feed; }

  /// Currents and slopes in the present state.
  [[nodiscard]] TubeResponse<S> respond(const Conditions<S>& at) const {
    TubeResponse<S> r;
    add_plate(r, at);
    add_grid(r, at);
    return r;
  }

  /// Time until the state changes if the voltages stay, s; `horizon` if it does not before.
  /// @throws InvalidParameter for a non-finite voltage or a negative horizon
  [[nodiscard]] S time_to_change(const Conditions<S>& at, S horizon) const {
    check("horizon", horizon, at);
    return next_change(at, horizon).after;
  }

  /// Goes on by `step` seconds at these voltages, changing state as often as they demand (at most `limit` times).
  /// Non-finite voltages are refused and nothing changes.
  /// @return number of changes
  int advance(const Conditions<S>& at, S step, int limit = 16) {
    check("step", step, at);
    int changes = 0;
    for (S left = step;;) {
      const NextChange next = changes < limit ? next_change(at, left) : NextChange{left, no_exit};
      settle(view_after(at, next.after), next.after);
      if (next.exit == no_exit) return changes;
      left -= next.after;
      const TubeView<S> before = view_after(at, S(0));
      tube_.leave(next.exit, before, memory_, residual_, formation_);
      excess_ = tube_.excess_at_start(before, memory_);
      ++changes;
    }
  }

 private:
  static constexpr std::size_t exits = most_exits(Tube::transitions), no_exit = exits;
  struct NextChange {
    S after;           // s from now
    std::size_t exit;  // of the present state, or no_exit
  };

  static void check(const char* span, S time, const Conditions<S>& at) {
    Check{"hosted tube"}
        .at_least(span, time, 0.0, "s")
        .finite("plate", at.plate, "V")
        .finite("grid", at.grid, "V")
        .finite("shield", at.shield, "V");
  }
  /// Slope of the arc at the least current, where a falling law is steepest, ohm.
  [[nodiscard]] S steepest_fall() const {
    TubeMemory<S> lit = memory_;
    lit.state = burning_state(Tube::transitions);
    return tube_.arc(tube_.least_current(), lit).slope;
  }
  [[nodiscard]] NextChange next_change(const Conditions<S>& at, S horizon) const {
    NextChange next{horizon, no_exit};
    for (std::size_t k = 0; k < exits; ++k) {
      const auto margin = [&](S after) { return tube_.guard(k, view_after(at, after), memory_); };
      if (margin(S(0)) <= S(0)) return {S(0), k};
      if (margin(next.after) > S(0)) continue;
      const S after = find_root(margin, S(0), next.after, S(0));
      if (next.exit == no_exit || after < next.after) next = {after, k};
    }
    return next;
  }
  [[nodiscard]] TubeView<S> view_after(const Conditions<S>& at, S after) const {
    const S excess = excess_after(after);
    TubeView<S> view{time_ + after, at, plate_current(at, excess), residual_after(at, after), formation_, excess};
    if (memory_.state == TubeState::striking) view.formation = formation_after(view, after);
    return view;
  }
  /// Plate current with the plate still `excess` volts above the arc drop.
  [[nodiscard]] S plate_current(const Conditions<S>& at, S excess) const {
    if (!is_lit(memory_.state)) return dark_current(at).current;
    // Newton's method from above, to the stable of the two currents at which a falling arc can burn; exact after one
    // step for the straight laws. An arc that no current can burn at this voltage carries none.
    S current = (at.plate - excess) / series_;
    for (int k = 0; k < 50; ++k) {
      const SlopedVoltage<S> arc = tube_.arc(current, memory_);
      if (!(arc.slope + series_ > S(0))) return S(0);
      const S change = (at.plate - excess - arc.voltage - series_ * current) / (arc.slope + series_);
      current += change;
      if (math::abs(change) <= S(8) * round_off<S> * math::abs(current)) break;
    }
    return current;
  }
  [[nodiscard]] SlopedCurrent<S> dark_current(const Conditions<S>& at) const {
    return tube_.dark_current({time_, at, S(0), residual_, formation_}, memory_);
  }
  [[nodiscard]] S residual_after(const Conditions<S>& at, S after) const {
    const S source = tube_.residual_source({time_, at, plate_current(at, excess_), residual_, formation_}, memory_);
    const S decay = tube_.residual_decay(memory_);
    if (!(decay > S(0))) return residual_ + source * after;
    return source / decay + (residual_ - source / decay) * math::exp(S(-decay * after));
  }
  [[nodiscard]] S excess_after(S after) const { return excess_ * math::exp(S(-tube_.excess_decay() * after)); }
  /// Simpson's rule: the rate changes while residual ionisation dies away.
  [[nodiscard]] S formation_after(const TubeView<S>& end, S after) const {
    const auto rate = [&](S t) {
      TubeView<S> view = end;
      view.residual = residual_after(end.at, t);
      return tube_.formation_rate(view, memory_);
    };
    return formation_ + after * (rate(S(0)) + S(4) * rate(after / S(2)) + rate(after)) / S(6);
  }
  void settle(const TubeView<S>& view, S after) {
    time_ += after;
    residual_ = view.residual;
    formation_ = view.formation;
    excess_ = view.excess;
  }
  void add_plate(TubeResponse<S>& r, const Conditions<S>& at) const {
    if (is_lit(memory_.state)) {
      r.plate_current = plate_current(at, excess_);
      const S rise = tube_.arc(r.plate_current, memory_).slope + series_;
      r.plate_by_plate = rise > S(0) ? S(1) / rise : S(0);
    } else {
      const SlopedCurrent<S> dark = dark_current(at);
      r.plate_current = dark.current;
      r.plate_by_plate = dark.by_plate;
      r.plate_by_grid = dark.by_grid;
      r.plate_by_shield = dark.by_shield;
    }
  }
  void add_grid(TubeResponse<S>& r, const Conditions<S>& at) const {
    const GridPaths<S> paths = tube_.grid_paths({time_, at, r.plate_current, residual_, formation_}, memory_);
    const S ions_by_plate = paths.from_plate_by_plate + paths.from_plate_by_plate_current * r.plate_by_plate;
    r.plate_current += paths.from_plate;
    r.plate_by_plate += ions_by_plate;
    r.plate_by_grid += paths.from_plate_by_grid;
    r.grid_current = paths.to_cathode - paths.from_plate;
    r.grid_by_plate = -ions_by_plate;
    r.grid_by_grid = paths.to_cathode_by_grid - paths.from_plate_by_grid;
  }

  Tube tube_;
  TubeMemory<S> memory_;
  S time_, series_;
  S residual_ = S(0), formation_ = S(0), excess_ = S(0);
};

}  // namespace gastube
