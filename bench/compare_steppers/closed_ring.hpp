// SPDX-License-Identifier: MIT
#pragma once
/// P5 in closed form: cathodes and what prepares each tube are sums of exponentials, by the modes of the ring with one
/// tube lit or with it and its successor. A pattern is the first one turned round the ring.

#include "lag.hpp"
#include "outcome.hpp"
#include "ring_modes.hpp"
#include "rising_root.hpp"

#include <vector>

namespace compare {

template <class T>
class ClosedRing {
 public:
  explicit ClosedRing(const Ring& values)
      : v_(values)
      , n_(values.count)
      , single_(RingModeFinder<T>(values, false).find())
      , pair_(RingModeFinder<T>(values, true).find())
      , volts_(n_)
      , prepared_(n_)
      , ions_(n_)
      , rest_(n_)
      , amount_(n_)
      , decayed_(n_)
      , lagged_(n_)
      , volts_then_(n_)
      , prepared_then_(n_) {}

  void run(Outcome& out) {
    begin();
    while (time_ < T(v_.end())) {
      const T corner = std::fmin(walk_.next(), T(v_.end())), length = corner - time_;
      const Fall fall = first_fall(length);
      advance(fall.tube == none ? length : fall.after);
      time_ = fall.tube == none ? corner : time_ + fall.after;
      if (fall.tube != none) {
        if (!fire(fall.tube, out)) return;
      } else if (corner < T(v_.end())) {
        walk_.pass();
        pulse_.target = walk_.high() ? T(v_.pulse) : 0;
      }
    }
  }

 private:
  static constexpr std::size_t none = static_cast<std::size_t>(-1);
  struct Fall {
    std::size_t tube;
    T after;
  };

  void begin() {
    time_ = 0;
    origin_ = 0;
    both_ = false;
    walk_ = PulseWalk<T>(v_.pulses);
    pulse_ = {0, 0, T(v_.pulse_lag)};
    for (std::size_t k = 0; k < n_; ++k) {
      volts_[k] = T(v_.steady(k == 0));
      prepared_[k] = ions_[k] = 0;
    }
    enter_pattern();
  }
  [[nodiscard]] bool lit(std::size_t k) const { return k == origin_ || (both_ && k == next(origin_)); }
  [[nodiscard]] std::size_t next(std::size_t k) const { return k + 1 == n_ ? 0 : k + 1; }
  [[nodiscard]] std::size_t previous(std::size_t k) const { return k == 0 ? n_ - 1 : k - 1; }
  [[nodiscard]] std::size_t local(std::size_t k) const { return k >= origin_ ? k - origin_ : k + n_ - origin_; }
  [[nodiscard]] T level(std::size_t k) const {
    const T arc = (T(v_.supply) - T(v_.tube.drop)) / T(v_.tube.ohms), dark = T(v_.supply) * T(v_.tube.leak);
    return (lit(k) ? arc : dark) / (1 / T(v_.cathode) + (lit(k) ? 1 / T(v_.tube.ohms) : T(v_.tube.leak)));
  }
  [[nodiscard]] const RingModes<T>& modes() const { return both_ ? pair_ : single_; }

  /// How much of each mode there is.
  void enter_pattern() {
    for (std::size_t k = 0; k < n_; ++k) {
      const auto away = [&](std::size_t j) { return volts_[j] - level(j); };
      const T own = away(k), sides = (own - away(previous(k))) + (own - away(next(k)));
      rest_[local(k)] = T(v_.ground) * own + T(v_.coupling) * sides;
    }
    for (std::size_t i = 0; i < n_; ++i) {
      const T* shape = &modes().shape[i * n_];
      T sum = 0;
      for (std::size_t k = 0; k < n_; ++k) sum += shape[k] * rest_[k];
      amount_[i] = sum;
    }
  }

  /// Each mode's amount at time t, and what the lag behind a cathode has of it.
  void decay(T t) {
    const T lag = T(v_.prepare_lag), kept = std::exp(-t / lag);
    for (std::size_t i = 0; i < n_; ++i) {
      const T rate = modes().rate[i], odds = 1 - rate * lag;
      decayed_[i] = amount_[i] * std::exp(-rate * t);
      lagged_[i] = std::fabs(odds) > T(0.1) ? (decayed_[i] - amount_[i] * kept) / odds
                   : odds == 0              ? amount_[i] * kept * t / lag
                                            : amount_[i] * kept * std::expm1(odds * t / lag) / odds;
    }
  }
  [[nodiscard]] T prepared_from(std::size_t k, T waves, T t) const {
    const T steady = level(previous(k));
    return steady + (prepared_[k] - steady) * std::exp(-t / T(v_.prepare_lag)) + waves;
  }
  /// All cathodes, and all that prepares, at time t. Modes that are gone are passed over.
  void look(T t) {
    decay(t);
    std::fill(volts_then_.begin(), volts_then_.end(), T(0));
    std::fill(prepared_then_.begin(), prepared_then_.end(), T(0));
    const T gone = std::numeric_limits<T>::epsilon() * T(1e-9);  // shapes reach some 1e4 per root of a farad
    left_.clear();
    for (std::size_t i = 0; i < n_; ++i)
      if (std::fabs(decayed_[i]) >= gone || std::fabs(lagged_[i]) >= gone) left_.push_back(i);
    std::size_t at = 0;
    for (; at + 4 <= left_.size(); at += 4) add_modes<4>(&left_[at]);  // four at once for the memory's sake
    for (; at < left_.size(); ++at) add_modes<1>(&left_[at]);
  }
  template <std::size_t Together>
  void add_modes(const std::size_t* which) {
    const T* shape[Together];
    T now[Together], late[Together];
    for (std::size_t m = 0; m < Together; ++m) {
      shape[m] = &modes().shape[which[m] * n_];
      now[m] = decayed_[which[m]];
      late[m] = lagged_[which[m]];
    }
    T* __restrict v = volts_then_.data();
    T* __restrict w = prepared_then_.data();
    for (std::size_t k = 0; k < n_; ++k) {
      T volts = v[k], prepared = w[k];
      for (std::size_t m = 0; m < Together; ++m) {
        volts += shape[m][k] * now[m];
        prepared += shape[m][k] * late[m];
      }
      v[k] = volts;
      w[k] = prepared;
    }
  }
  [[nodiscard]] T volts_seen(std::size_t k) const { return level(k) + volts_then_[local(k)]; }
  [[nodiscard]] T prepared_seen(std::size_t k, T t) const {
    return prepared_from(k, prepared_then_[local(previous(k))], t);
  }

  /// Negative while the tube's state lasts.
  [[nodiscard]] T margin(std::size_t k, T volts, T prepared, T pulse, T faded) const {
    if (lit(k)) return T(v_.tube.holding) - (T(v_.supply) - volts - T(v_.tube.drop)) / T(v_.tube.ohms);
    const T strike = T(v_.strike) - prepared - T(v_.gain) * pulse;
    return T(v_.supply) - volts - T(v_.floor) - (strike - T(v_.floor)) * (1 - ions_[k] * faded);
  }
  [[nodiscard]] T margin_seen(std::size_t k, T t, T pulse, T faded) const {
    return margin(k, volts_seen(k), prepared_seen(k, t), pulse, faded);
  }
  /// One tube alone, without looking at the others.
  [[nodiscard]] T margin_at(std::size_t k, T t) {
    decay(t);
    const std::size_t here = local(k), before = local(previous(k));
    T volts = level(k), waves = 0;
    for (std::size_t i = 0; i < n_; ++i) {
      volts += modes().shape[i * n_ + here] * decayed_[i];
      waves += modes().shape[i * n_ + before] * lagged_[i];
    }
    return margin(k, volts, prepared_from(k, waves, t), pulse_.at(t), std::exp(-t / T(ion_time)));
  }

  /// Looks at all tubes at times that double from `first_look` on, during a pulse at least each half of its lag, and
  /// narrows down where one has crossed. The margins move with the lags and the ring's own rates, all slower than that.
  [[nodiscard]] Fall first_fall(T length) {
    const T longest = walk_.high() ? T(v_.pulse_lag) / 2 : T(v_.prepare_lag);
    T before = 0, at = first_look;
    for (;;) {
      const T t = std::fmin(at, length);
      look(t);
      Fall first{none, t};
      const T pulse = pulse_.at(t), faded = std::exp(-t / T(ion_time));
      crossed_.clear();
      for (std::size_t k = 0; k < n_; ++k)
        if (margin_seen(k, t, pulse, faded) >= 0) crossed_.push_back(k);
      for (const std::size_t k : crossed_) {
        const T when = narrow(k, before, t);
        if (first.tube == none || when < first.after) first = {k, when};
      }
      if (first.tube != none || !(t < length)) return first;
      before = t;
      at = t + std::fmin(t, longest);
    }
  }
  /// Regula falsi that halves the weight of an end that stays (the Illinois rule).
  [[nodiscard]] T narrow(std::size_t k, T low, T high) {
    T below = margin_at(k, low), above = margin_at(k, high);
    if (below >= 0) return low;
    constexpr T eps = std::numeric_limits<T>::epsilon();
    int side = 0;
    for (int round = 0; round < 100 && high - low > 2 * eps * high && above != 0; ++round) {
      const T t = round < 60 ? (low * above - high * below) / (above - below) : (low + high) / 2;
      const T there = margin_at(k, t);
      if (there < 0) {
        low = t;
        below = there;
        if (side < 0) above /= 2;
        side = -1;
      } else {
        if (high - t <= 2 * eps * high) return t;
        high = t;
        above = there;
        if (side > 0) below /= 2;
        side = 1;
      }
      if (!(t > low || t < high)) break;
    }
    return high;
  }

  void advance(T t) {
    look(t);
    for (std::size_t k = 0; k < n_; ++k) prepared_[k] = prepared_seen(k, t);
    for (std::size_t k = 0; k < n_; ++k) volts_[k] = volts_seen(k);
    const T faded = std::exp(-t / T(ion_time));
    for (T& q : ions_) q *= faded;
    pulse_.advance(t);
    amount_.swap(decayed_);
  }
  [[nodiscard]] bool fire(std::size_t k, Outcome& out) {
    if (!lit(k)) {
      if (both_ || k != next(origin_)) return out.failure = "a tube out of turn strikes", false;
      both_ = true;
    } else {
      if (!both_ || k != origin_) return out.failure = "the light goes out", false;
      both_ = false;
      origin_ = next(origin_);
      ions_[k] = T(v_.tube.first_ions);
    }
    out.note(double(time_), int(k), lit(k));
    enter_pattern();
    return true;
  }

  static constexpr T first_look = T(1e-7);

  Ring v_;
  std::size_t n_;
  RingModes<T> single_, pair_;
  std::vector<T> volts_, prepared_, ions_, rest_, amount_, decayed_, lagged_, volts_then_, prepared_then_;
  std::vector<std::size_t> crossed_, left_;
  PulseWalk<T> walk_{v_.pulses};
  Lag<T> pulse_{};
  T time_ = 0;
  std::size_t origin_ = 0;
  bool both_ = false;
};

}  // namespace compare
