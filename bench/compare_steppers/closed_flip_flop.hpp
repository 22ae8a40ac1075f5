// SPDX-License-Identifier: MIT
#pragma once
/// P3 in closed form. One tube is lit, the other dark; the coupling capacitor's voltage (dark plate against lit plate)
/// is one exponential. As the dark tube strikes, the plates jump and the lit one goes out at the same instant.

#include "lag.hpp"
#include "outcome.hpp"
#include "rising_root.hpp"

#include <array>

namespace compare {

template <class T>
class ClosedFlipFlop {
 public:
  explicit ClosedFlipFlop(const FlipFlop& values = flip_flop) : v_(values) {}

  void run(Outcome& out) {
    begin();
    while (time_ < T(v_.end)) {
      // The lit tube's grid does nothing, but its lag goes on.
      const int edge = walks_[0].next() < walks_[1].next() ? 0 : 1;
      const T corner = std::fmin(walks_[std::size_t(edge)].next(), T(v_.end)), length = corner - time_;
      const T strike = strikes_after(length);
      if (strike <= length) {
        if (!swap_at(strike, out)) return;
      } else {
        advance(length);
        time_ = corner;
        if (corner < T(v_.end)) pass(edge);
      }
    }
  }

 private:
  void begin() {
    time_ = 0;
    lit_ = -1;
    for (std::size_t k = 0; k < 2; ++k) {
      walks_[k] = PulseWalk<T>(v_.pulses(int(k)));
      grids_[k] = {T(v_.grid.rest), T(v_.grid.rest), T(v_.grid.lag)};
    }
    ions_ = transient_ = 0;
  }
  void pass(int tube) {
    walks_[std::size_t(tube)].pass();
    grids_[std::size_t(tube)].target = walks_[std::size_t(tube)].high() ? 0 : T(v_.grid.rest);
  }
  void advance(T t) {
    for (Lag<T>& grid : grids_) grid.advance(t);
    ions_ *= std::exp(-t / T(ion_time));
    transient_ *= std::exp(-rate_ * t);
  }

  /// Which tube may strike: the dark one; at the start either, both with their plates at the supply.
  [[nodiscard]] std::size_t candidate() const { return lit_ < 0 ? (walks_[1].high() ? 1 : 0) : std::size_t(1 - lit_); }
  [[nodiscard]] T dark_volts(T t) const { return dark_level_ + swing_ * transient_ * std::exp(-rate_ * t); }
  [[nodiscard]] T strike_volts(T grid, T ions) const {
    return (T(v_.grid.strike) - T(v_.grid.gain) * grid) * (1 - ions);
  }
  [[nodiscard]] T strike_volts_at(std::size_t tube, T t) const {
    return strike_volts(grids_[tube].at(t), ions_ * std::exp(-t / T(ion_time)));
  }

  /// When the candidate strikes, if within `length`; else more than that. Its plate never falls. While its grid rests
  /// the striking voltage does not fall either; while its grid is pulsed ionisation is gone and the margin rises.
  [[nodiscard]] T strikes_after(T length) const {
    const std::size_t tube = candidate();
    if (!walks_[tube].high()) {
      if (stays_below(tube, 0, strike_volts_at(tube, 0), length, 0)) return 2 * length;
      return rising_root([&](T t) { return margin(tube, t); }, T(0), length, length / 2);
    }
    if (margin(tube, length).value < 0) return 2 * length;
    const T drop = T(v_.grid.gain) * -grids_[tube].value, excess = dark_volts(0) - T(v_.grid.strike);
    const T guess = excess > 0 && excess < drop ? T(v_.grid.lag) * std::log(drop / excess) : length / 2;
    return rising_root([&](T t) { return margin(tube, t); }, T(0), length, guess);
  }
  /// True if the plate at the end of a stretch is still below the striking voltage at its beginning, both rising; else
  /// its halves are looked at.
  [[nodiscard]] bool stays_below(std::size_t tube, T from, T strike_from, T to, int depth) const {
    if (dark_volts(to) < strike_from) return true;
    if (depth > 20) return false;
    const T middle = depth == 0 ? std::fmin(T(ion_time), to / 2) : (from + to) / 2;
    return stays_below(tube, from, strike_from, middle, depth + 1)
           && stays_below(tube, middle, strike_volts_at(tube, middle), to, depth + 1);
  }
  [[nodiscard]] Sloped<T> margin(std::size_t tube, T t) const {
    const T plate = swing_ * transient_ * std::exp(-rate_ * t), ions = ions_ * std::exp(-t / T(ion_time));
    const T away = (grids_[tube].value - grids_[tube].target) * std::exp(-t / T(v_.grid.lag));
    const T strike = T(v_.grid.strike) - T(v_.grid.gain) * (grids_[tube].target + away);
    const T strike_slope = T(v_.grid.gain) * away / T(v_.grid.lag);
    return {dark_level_ + plate - strike * (1 - ions),
            -rate_ * plate - strike_slope * (1 - ions) - strike * ions / T(ion_time)};
  }

  /// The candidate strikes; then the lit tube's current would run backwards, so it goes out at once.
  [[nodiscard]] bool swap_at(T t, Outcome& out) {
    const std::size_t tube = candidate();
    advance(t);
    time_ += t;
    const T coupled = lit_ < 0 ? 0 : coupling_level_ + transient_;  // V, candidate's plate against the other
    out.note(double(time_), int(tube), true);
    if (lit_ >= 0) {
      if (other_current(coupled) >= T(v_.tube.holding)) return out.failure = "both tubes stay lit", false;
      out.note(double(time_), lit_, false);
      ions_ = T(v_.tube.first_ions);
    }
    lit_ = int(tube);
    rate_ = lit_rate_;
    dark_level_ = T(v_.supply) / T(v_.plate) / dark_siemens_;
    transient_ = -coupled - coupling_level_;
    if (least_lit_current() < T(v_.tube.holding)) return out.failure = "the lit tube does not hold", false;
    return true;
  }
  /// A through the tube that was lit, just after the other has struck, with both lit and the capacitor's voltage kept.
  [[nodiscard]] T other_current(T coupled) const {
    const T arc = T(v_.tube.drop) / T(v_.tube.ohms), feed = T(v_.supply) / T(v_.plate);
    const T sum = 2 * (feed + arc) / (1 / T(v_.plate) + 1 / T(v_.tube.ohms));
    return ((sum - coupled) / 2 - T(v_.tube.drop)) / T(v_.tube.ohms);
  }
  /// A, least from now on: the current is steady plus an exponential of one sign.
  [[nodiscard]] T least_lit_current() const {
    const T steady = (lit_level_ - T(v_.tube.drop)) / T(v_.tube.ohms);
    return steady + std::fmin(T(0), -rate_ * T(v_.coupling) * transient_ / lit_siemens_ / T(v_.tube.ohms));
  }

  FlipFlop v_;
  T dark_siemens_ = 1 / T(v_.plate) + T(v_.tube.leak), lit_siemens_ = 1 / T(v_.plate) + 1 / T(v_.tube.ohms);
  T lit_rate_ = 1 / (T(v_.coupling) * (1 / dark_siemens_ + 1 / lit_siemens_));
  T lit_level_ = (T(v_.supply) / T(v_.plate) + T(v_.tube.drop) / T(v_.tube.ohms)) / lit_siemens_;
  T coupling_level_ = T(v_.supply) / T(v_.plate) / dark_siemens_ - lit_level_;
  T swing_ = lit_rate_ * T(v_.coupling) / dark_siemens_;  // of the dark plate, per volt of the transient
  T dark_level_ = T(v_.supply) / T(v_.plate) / dark_siemens_;
  T rate_ = 0, transient_ = 0, time_ = 0, ions_ = 0;
  int lit_ = -1;
  std::array<PulseWalk<T>, 2> walks_{PulseWalk<T>(v_.pulses(0)), PulseWalk<T>(v_.pulses(1))};
  std::array<Lag<T>, 2> grids_{};
};

}  // namespace compare
