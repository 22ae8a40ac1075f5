// SPDX-License-Identifier: MIT
#pragma once
/// The first fall of a sum of exponentials. How often it goes through zero its amplitudes say: written from the slowest
/// to the fastest, no more often after t = 0 than their partial sums change sign, and by an even number less often if
/// by any. E. Laguerre, "Sur la theorie des equations numeriques", Journal de mathematiques pures et appliquees, 3rd
/// series, 9, 99 (1883).

#include "gastube/stepping/exact/falling_root.hpp"

#include <array>
#include <cstddef>
#include <limits>

namespace gastube::exact {

/// Sum of amplitude exp(rate t), sorted by rates, the greatest first; a constant has the rate 0.
template <class P>
class FadingSum {
 public:
  static constexpr std::size_t most = 16;

  [[nodiscard]] std::size_t size() const { return size_; }
  void clear() { size_ = 0; }
  /// @pre size() < most
  void add(P amplitude, P rate) {
    std::size_t k = size_++;
    for (; k > 0 && rates_[k - 1] < rate; --k) {
      rates_[k] = rates_[k - 1];
      amplitudes_[k] = amplitudes_[k - 1];
    }
    rates_[k] = rate;
    amplitudes_[k] = amplitude;
  }
  [[nodiscard]] P rate(std::size_t k) const { return rates_[k]; }
  [[nodiscard]] P amplitude(std::size_t k) const { return amplitudes_[k]; }

  /// What it is at t, s.
  [[nodiscard]] Bend<P> at(P t) const {
    Bend<P> sum;
    for (std::size_t k = 0; k < size_; ++k) {
      const P rate = rates_[k], now = rate == P(0) ? amplitudes_[k] : amplitudes_[k] * math::exp(P(rate * t));
      const P slope = rate * now, curvature = rate * slope;
      sum.value += now;
      sum.slope += slope;
      sum.curvature += curvature;
      sum.sharpest += math::abs(rate * curvature);
    }
    return sum;
  }

  enum class Verdict {
    stays,        ///< above zero for ever
    falls_once,   ///< through zero, and never comes back
    not_decided,  ///< may fall more than once, or partial sums are too small to have a sign
  };
  /// @param noise what does not count as a sign of a partial sum
  [[nodiscard]] Verdict judge(P noise) {
    P partial(0);
    int changes = 0;
    bool was_below = false;
    for (std::size_t k = 0; k < size_; ++k) {
      if (amplitudes_[k] == P(0)) continue;
      const P before = partial;
      partial += amplitudes_[k];
      if (!(math::abs(partial) > noise)) return Verdict::not_decided;
      const bool below = partial < P(0);
      if (before != P(0) && below != was_below) {
        ++changes;
        turn_ = k;
        level_ = before;
      }
      was_below = below;
    }
    if (was_below || changes > 1) return Verdict::not_decided;
    return changes == 0 ? Verdict::stays : Verdict::falls_once;
  }
  /// After judge() has said that it falls once: when, or `until` if later.
  [[nodiscard]] P fall(P until) const {
    // What is slower than the sign's turn hardly moves, what is faster is soon gone.
    const P share = amplitudes_[turn_] / -level_, rate = rates_[turn_];
    const P guess = share > P(1) && rate < P(0) ? math::log(share) / -rate : first_step();
    return falling_root([this](P t) { return at(t); }, P(0), std::numeric_limits<P>::infinity(), guess, until);
  }

 private:
  [[nodiscard]] P first_step() const {
    const Bend<P> now = at(P(0));
    const P fastest = math::abs(rates_[size_ - 1]) + math::abs(rates_[0]);
    return now.slope < P(0) ? -now.value / now.slope : P(1) / fastest;
  }
  std::size_t size_ = 0, turn_ = 0;
  P level_ = P(0);
  std::array<P, most> rates_, amplitudes_;
};

}  // namespace gastube::exact
