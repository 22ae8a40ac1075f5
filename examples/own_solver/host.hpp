// SPDX-License-Identifier: MIT
#pragma once
/// A solver of somebody's own, written for one circuit, with one tube of the library in it. It takes in nothing of the
/// library but what a tube is: no circuit, no stepper, no Eigen.
///
///   supply --- charging resistor ---+--- lamp resistor --- plate of the tube, grid at bias + swing sin(2 pi f t)
///                                   |
///                               capacitor
///
/// What a host owes a tube, whatever its method:
///   1. terminal voltages and the time, as a TubeView; the plate current that goes with them is the host's to solve;
///   2. the residual ionisation and the formation of the discharge, integrated along with its own unknowns;
///   3. the place and time where a guard of the present state falls to zero, and tube.leave() there;
///   4. what the circuit could feed through the tube (Feed), while it decides whether an arc can form.

#include <gastube/tube/machine.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <stdexcept>

namespace own_solver {

struct Circuit {
  double supply = 250;         ///< V
  double charging = 220e3;     ///< ohm
  double capacitor = 0.1e-6;   ///< F
  double lamp = 1e3;           ///< ohm, the lamp in the plate lead
  double bias = -10;           ///< V, of the grid
  double swing = 3, beat = 7;  ///< V and Hz, what is added to the bias
};

template <gastube::TubeMachine Tube>
class Host {
 public:
  using View = gastube::TubeView<double>;
  using Memory = gastube::TubeMemory<double>;

  /// @param tolerance error allowed a step, relative to 1 V and to a whole discharge
  Host(const Circuit& circuit, const Tube& tube, double tolerance)
      : circuit_(circuit), tube_(tube), memory_(tube.warm(0)), tolerance_(tolerance) {
    // At once the capacitor feeds the tube, for ever only the supply does. The supply never changes, so neither do
    // they.
    memory_.feed = {circuit.lamp, circuit.supply, circuit.charging + circuit.lamp};
  }

  [[nodiscard]] double time() const { return time_; }
  [[nodiscard]] double volts() const { return at_[capacitor]; }
  [[nodiscard]] double plate_current() const { return view(time_, at_).plate_current; }
  [[nodiscard]] gastube::TubeState state() const { return memory_.state; }
  [[nodiscard]] long steps() const { return steps_; }

  /// Goes on to `end`; calls seen(host) after each step and event, and changed(time, transition) at each event.
  template <class Seen, class Changed>
  void run(double end, Seen&& seen, Changed&& changed) {
    while (time_ < end) {
      const double length = acceptable_step(end - time_);
      const Fall fall = first_fall(length);
      at_ = after(fall.after), time_ += fall.after;
      ++steps_;
      seen(*this);
      if (fall.exit == none) continue;
      leave(fall.exit, changed);
      seen(*this);
    }
  }

 private:
  /// The unknowns, in one array so that a Runge-Kutta step is a loop.
  enum Unknown : std::size_t { capacitor, residual, formation, unknowns };
  using Point = std::array<double, unknowns>;
  static constexpr std::size_t exits = gastube::most_exits(Tube::transitions), none = exits;
  struct Fall {
    double after;      // s from now
    std::size_t exit;  // whose guard falls there, or none
  };

  [[nodiscard]] double grid(double t) const {
    return circuit_.bias + circuit_.swing * std::sin(2 * std::numbers::pi * circuit_.beat * t);
  }
  /// V of the plate above the arc drop while it falls after ignition. Its equation is linear and has a time constant of
  /// nanoseconds: taken in closed form it does not hold the steps down.
  [[nodiscard]] double excess(double t) const {
    return excess_then_ * std::exp(-tube_.excess_decay() * (t - excess_since_));
  }

  /// What the tube sees, with the plate current that the capacitor drives through lamp and tube: Newton's method, on
  /// the arc's own slope where the tube is lit.
  [[nodiscard]] View view(double t, const Point& p) const {
    View seen{t, {p[capacitor], grid(t), 0}, 0, p[residual], p[formation], excess(t)};
    for (int round = 0; round < 30; ++round) {
      const double before = seen.plate_current, ions = tube_.grid_paths(seen, memory_).from_plate;
      seen.at.plate = p[capacitor] - circuit_.lamp * (before + ions);
      if (gastube::is_lit(memory_.state)) {
        const auto arc = tube_.arc(before, memory_);
        seen.plate_current += (seen.at.plate - seen.excess - arc.voltage) / (circuit_.lamp + arc.slope);
      } else {
        seen.plate_current = tube_.dark_current(seen, memory_).current;
      }
      if (std::fabs(seen.plate_current - before) <= 1e-15 + 1e-13 * std::fabs(before)) break;
    }
    return seen;
  }
  [[nodiscard]] Point slopes(double t, const Point& p) const {
    const View seen = view(t, p);
    const double out = seen.plate_current + tube_.grid_paths(seen, memory_).from_plate;
    return {((circuit_.supply - p[capacitor]) / circuit_.charging - out) / circuit_.capacitor,
            tube_.residual_source(seen, memory_) - tube_.residual_decay(memory_) * p[residual],
            tube_.formation_rate(seen, memory_)};
  }

  /// The classical Runge-Kutta step of fourth order.
  [[nodiscard]] Point step(double t, const Point& from, double length) const {
    const auto moved = [&](const Point& slope, double share) {
      Point to = from;
      for (std::size_t k = 0; k < unknowns; ++k) to[k] += share * length * slope[k];
      return to;
    };
    const Point a = slopes(t, from), b = slopes(t + length / 2, moved(a, 0.5)),
                c = slopes(t + length / 2, moved(b, 0.5)), d = slopes(t + length, moved(c, 1));
    Point mean{};
    for (std::size_t k = 0; k < unknowns; ++k) mean[k] = (a[k] + 2 * b[k] + 2 * c[k] + d[k]) / 6;
    return moved(mean, 1);
  }
  /// The point so long after now, by two steps.
  [[nodiscard]] Point after(double length) const {
    return step(time_ + length / 2, step(time_, at_, length / 2), length / 2);
  }
  /// Two steps against one tell the error; lengths are halved until it is small enough, and may grow again.
  [[nodiscard]] double acceptable_step(double most) {
    for (double length = std::min(next_, most);; length /= 2) {
      const Point twice = after(length), once = step(time_, at_, length);
      double error = 0;
      for (std::size_t k = 0; k < unknowns; ++k)
        error = std::max(error, std::fabs(twice[k] - once[k]) / 15 / std::max(1.0, std::fabs(twice[k])));
      if (length < 1e-15) throw std::runtime_error("the host's steps became too short");
      if (!(error <= tolerance_)) continue;
      next_ = length * std::min(2.0, 0.9 * std::pow(tolerance_ / std::max(error, 1e-300), 0.2));
      return length;
    }
  }

  [[nodiscard]] double guard(std::size_t exit, double after_now) const {
    return tube_.guard(exit, view(time_ + after_now, after(after_now)), memory_);
  }
  /// Where in the step the first guard falls: whoever is at or below zero at its end is brought between two lengths,
  /// one before and one after the fall, which are drawn together by halving. The solution in between is a step of its
  /// own, so the event is as exact as the method. A guard that falls and rises within one step is missed; where that
  /// matters the host must look at more places, or bound the guard.
  [[nodiscard]] Fall first_fall(double length) const {
    Fall first{length, none};
    for (std::size_t exit = 0; exit < exits; ++exit) {
      if (guard(exit, first.after) > 0) continue;
      double before = 0, fallen = first.after;
      while (fallen - before > 1e-15 * (time_ + fallen) && fallen - before > 1e-14) {
        const double middle = (before + fallen) / 2;
        (guard(exit, middle) > 0 ? before : fallen) = middle;
      }
      first = {fallen, exit};
    }
    return first;
  }
  /// The event, and those that follow at the same instant, lowest number first.
  template <class Changed>
  void leave(std::size_t exit, Changed&& changed) {
    for (int cascade = 0; exit != none; ++cascade) {
      if (cascade == 16) throw std::runtime_error("the tube does not settle");
      const View before = view(time_, at_);
      changed(time_, tube_.leave(exit, before, memory_, at_[residual], at_[formation]));
      excess_then_ = tube_.excess_at_start(before, memory_), excess_since_ = time_;
      exit = 0;
      while (exit != none && tube_.guard(exit, view(time_, at_), memory_) > 0) ++exit;
    }
    next_ = 1e-9;
  }

  Circuit circuit_;
  Tube tube_;
  Memory memory_;
  double tolerance_;
  double time_ = 0, next_ = 1e-6;
  double excess_then_ = 0, excess_since_ = 0;
  Point at_{};
  long steps_ = 0;
};

}  // namespace own_solver
