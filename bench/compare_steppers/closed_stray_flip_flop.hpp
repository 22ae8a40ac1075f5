// SPDX-License-Identifier: MIT
#pragma once
/// P3s in closed form: with strays at the plates both voltages are states, sums of two exponentials each, of which one
/// is gone within nanoseconds. Between a strike and the other tube's extinction, some picoseconds, both tubes are lit.

#include "lag.hpp"
#include "outcome.hpp"
#include "rising_root.hpp"

#include <array>

namespace compare {

template <class T>
class ClosedStrayFlipFlop {
 public:
  explicit ClosedStrayFlipFlop(const FlipFlop& values = stray_flip_flop) : v_(values) {}

  void run(Outcome& out) {
    begin();
    while (time_ < T(v_.end)) {
      const int edge = walks_[0].next() < walks_[1].next() ? 0 : 1;
      const T corner = std::fmin(walks_[std::size_t(edge)].next(), T(v_.end)), length = corner - time_;
      const bool both = lit_[0] && lit_[1];
      const T wait = both ? goes_out_after(length, out) : strikes_after(length);
      if (!out.failure.empty()) return;
      if (wait <= length) {
        advance(wait);
        time_ += wait;
        const std::size_t tube = both ? older_ : candidate();
        lit_[tube] = !lit_[tube];
        if (both) ions_ = T(v_.tube.first_ions);
        if (!both) older_ = 1 - tube;
        out.note(double(time_), int(tube), lit_[tube]);
        enter_pattern();
      } else {
        advance(length);
        time_ = corner;
        if (corner < T(v_.end)) pass(std::size_t(edge));
      }
    }
  }

 private:
  using Pair = std::array<T, 2>;

  void begin() {
    time_ = ions_ = 0;
    lit_ = {false, false};
    for (std::size_t k = 0; k < 2; ++k) {
      walks_[k] = PulseWalk<T>(v_.pulses(int(k)));
      grids_[k] = {T(v_.grid.rest), T(v_.grid.rest), T(v_.grid.lag)};
    }
    volts_ = {0, 0};
    enter_pattern();
  }
  void pass(std::size_t tube) {
    walks_[tube].pass();
    grids_[tube].target = walks_[tube].high() ? 0 : T(v_.grid.rest);
    share();
  }
  void advance(T t) {
    for (Lag<T>& grid : grids_) grid.advance(t);
    ions_ *= std::exp(-t / T(ion_time));
    const T fast = std::exp(-fast_rate_ * t), slow = std::exp(-slow_rate_ * t);
    for (std::size_t k = 0; k < 2; ++k) volts_[k] = level_[k] + fast * fast_[k] + slow * slow_[k];
    for (std::size_t k = 0; k < 2; ++k) fast_[k] *= fast, slow_[k] *= slow;
  }

  /// Rates and levels of this pattern of lit tubes; none of the differences loses digits.
  void enter_pattern() {
    const T own = T(v_.stray) + T(v_.coupling), between = T(v_.coupling);
    const T determinant = T(v_.stray) * (T(v_.stray) + 2 * between);
    Pair siemens{};
    for (std::size_t k = 0; k < 2; ++k) {
      siemens[k] = 1 / T(v_.plate) + (lit_[k] ? 1 / T(v_.tube.ohms) : T(v_.tube.leak));
      const T amperes = T(v_.supply) / T(v_.plate) + (lit_[k] ? T(v_.tube.drop) / T(v_.tube.ohms) : 0);
      level_[k] = amperes / siemens[k];
    }
    const T trace = own * (siemens[0] + siemens[1]), uneven = own * (siemens[0] - siemens[1]);
    const T root = std::sqrt(uneven * uneven + 4 * siemens[0] * siemens[1] * between * between);
    fast_rate_ = (trace + root) / (2 * determinant);
    slow_rate_ = siemens[0] * siemens[1] / determinant / fast_rate_;
    gap_ = root / determinant;
    for (std::size_t k = 0; k < 2; ++k) {
      row_[k] = {(k == 0 ? own : between) * siemens[0] / determinant,
                 (k == 0 ? between : own) * siemens[1] / determinant};
    }
    share();
  }
  /// Shares what is left to settle out between the two exponentials.
  void share() {
    const Pair rest{volts_[0] - level_[0], volts_[1] - level_[1]};
    for (std::size_t k = 0; k < 2; ++k) {
      fast_[k] = (row_[k][0] * rest[0] + row_[k][1] * rest[1] - slow_rate_ * rest[k]) / gap_;
      slow_[k] = rest[k] - fast_[k];
    }
  }

  [[nodiscard]] bool any_lit() const { return lit_[0] || lit_[1]; }
  [[nodiscard]] std::size_t candidate() const {
    return any_lit() ? std::size_t(lit_[0] ? 1 : 0) : std::size_t(walks_[1].high() ? 1 : 0);
  }
  [[nodiscard]] T strike_volts_at(std::size_t tube, T t) const {
    return (T(v_.grid.strike) - T(v_.grid.gain) * grids_[tube].at(t)) * (1 - ions_ * std::exp(-t / T(ion_time)));
  }
  /// No voltage of the plate between two times exceeds this.
  [[nodiscard]] T plate_at_most(std::size_t k, T from, T to) const {
    const T fast = std::exp(-fast_rate_ * (fast_[k] > 0 ? from : to)) * fast_[k];
    const T slow = std::exp(-slow_rate_ * (slow_[k] > 0 ? from : to)) * slow_[k];
    return level_[k] + fast + slow;
  }
  [[nodiscard]] T strikes_after(T length) const {
    const std::size_t tube = candidate();
    const auto f = [&](T t) { return margin(tube, t); };
    if (!walks_[tube].high()) {
      if (stays_below(tube, 0, strike_volts_at(tube, 0), length, 0)) return 2 * length;
      return rising_root(f, T(0), length, length / 2);
    }
    if (margin(tube, length).value < 0) return 2 * length;
    const T drop = T(v_.grid.gain) * -grids_[tube].value, excess = volts_[tube] - T(v_.grid.strike);
    return rising_root(f, T(0), length,
                       excess > 0 && excess < drop ? T(v_.grid.lag) * std::log(drop / excess) : length / 2);
  }
  /// True if the most that the plate may reach in a stretch is below the striking voltage at its beginning, which only
  /// rises while the grid rests.
  [[nodiscard]] bool stays_below(std::size_t tube, T from, T strike_from, T to, int depth) const {
    if (plate_at_most(tube, from, to) < strike_from) return true;
    if (depth > 40) return false;
    const T middle = depth == 0 ? std::fmin(T(ion_time), to / 2) : (from + to) / 2;
    return stays_below(tube, from, strike_from, middle, depth + 1)
           && stays_below(tube, middle, strike_volts_at(tube, middle), to, depth + 1);
  }
  [[nodiscard]] Sloped<T> margin(std::size_t tube, T t) const {
    const T fast = fast_[tube] * std::exp(-fast_rate_ * t), slow = slow_[tube] * std::exp(-slow_rate_ * t);
    const T ions = ions_ * std::exp(-t / T(ion_time));
    const T away = (grids_[tube].value - grids_[tube].target) * std::exp(-t / T(v_.grid.lag));
    const T strike = T(v_.grid.strike) - T(v_.grid.gain) * (grids_[tube].target + away);
    const T strike_slope = T(v_.grid.gain) * away / T(v_.grid.lag);
    return {level_[tube] + fast + slow - strike * (1 - ions),
            -fast_rate_ * fast - slow_rate_ * slow - strike_slope * (1 - ions) - strike * ions / T(ion_time)};
  }
  /// With both lit, when the older one's current has fallen to the holding current: the fast exponential takes it down.
  [[nodiscard]] T goes_out_after(T length, Outcome& out) const {
    const std::size_t k = older_;
    const T last = T(v_.tube.drop) + T(v_.tube.ohms) * T(v_.tube.holding);
    const T until = std::fmin(length, 40 / fast_rate_);
    const auto f = [&](T t) {
      const T fast = fast_[k] * std::exp(-fast_rate_ * t), slow = slow_[k] * std::exp(-slow_rate_ * t);
      return Sloped<T>{last - level_[k] - fast - slow, fast_rate_ * fast + slow_rate_ * slow};
    };
    if (!(f(until).value > 0)) return out.failure = "both tubes stay lit", length;
    return rising_root(f, T(0), until, (volts_[k] - last) / (fast_rate_ * fast_[k] + slow_rate_ * slow_[k]));
  }

  FlipFlop v_;
  Pair volts_{}, level_{}, fast_{}, slow_{};
  std::array<Pair, 2> row_{};
  std::array<bool, 2> lit_{};
  T fast_rate_ = 0, slow_rate_ = 0, gap_ = 0, time_ = 0, ions_ = 0;
  std::size_t older_ = 0;
  std::array<PulseWalk<T>, 2> walks_{PulseWalk<T>(v_.pulses(0)), PulseWalk<T>(v_.pulses(1))};
  std::array<Lag<T>, 2> grids_{};
};

}  // namespace compare
