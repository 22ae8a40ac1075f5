// SPDX-License-Identifier: MIT
#pragma once
/// The first fall of a steady swing with a constant and exponentials. It is walked through by parts of a period,
/// quarters at most, over which the ranges of value, slope and curvature are known exactly, part by part; a part is
/// passed if they say that nothing falls there, halved if they say nothing, and searched where they say that it falls
/// once.

#include "gastube/stepping/exact/fading_fall.hpp"

#include <numbers>

namespace gastube::exact {

/// What a search returns that cannot tell: no time at all.
template <class P>
inline constexpr P not_decided = P(-1);

/// along cos(turn t) - across sin(turn t) + exponentials.
template <class P>
struct SwingingSum {
  P along = P(0), across = P(0), turn = P(0);  ///< V, V, rad/s (or the unit of the guard)
  FadingSum<P> rest;                           ///< its constant among it

  [[nodiscard]] Bend<P> at(P t) const {
    Bend<P> sum = rest.at(t);
    const P angle = turn * t, cosine = math::cos(angle), sine = math::sin(angle);
    const P re = along * cosine - across * sine, im = along * sine + across * cosine;
    sum.value += re;
    sum.slope -= turn * im;
    sum.curvature -= turn * turn * re;
    sum.sharpest += turn * turn * turn * (math::abs(along) + math::abs(across));
    return sum;
  }
};

template <class P>
class SwingingFall {
 public:
  explicit SwingingFall(const SwingingSum<P>& sum)
      : sum_(sum)
      , size_(math::sqrt(sum.along * sum.along + sum.across * sum.across))
      , quarter_(std::numbers::pi_v<P> / (P(2) * sum.turn)) {
    for (std::size_t k = 0; k < sum_.rest.size(); ++k) now_.fading[k] = sum_.rest.amplitude(k);
    now_.re = sum_.along;
    now_.im = sum_.across;
  }
  /// @pre the sum is above zero at t = 0
  /// @return when it falls; `until` if not before that; not_decided if the search goes on for too long
  [[nodiscard]] P find(P until) {
    constexpr int most_parts = 4000;
    int part = 0;
    for (int count = 0; count < most_parts; ++count) {
      if (!(now_.t < until) || (count % 8 == 0 && never_falls())) return until;
      const State next = after(part);
      const Verdict verdict = judge(next);
      if (verdict == Verdict::falls_once) return search(next, until);
      if (verdict == Verdict::passes) {
        move_to(next);
        if (part > 0) --part;
        if (count % refresh == refresh - 1) set(now_.t);
      } else if (part < finest) {
        ++part;
      } else if (safe_ > P(2) * round_off<P> * now_.t) {
        set(now_.t + safe_);
      } else {
        return now_.t;
      }
    }
    return gastube::exact::not_decided<P>;
  }

 private:
  static constexpr int finest = 5, refresh = 256;
  enum class Verdict { passes, falls_once, not_decided };
  struct State {
    P t = P(0), re = P(0), im = P(0);
    std::array<P, FadingSum<P>::most> fading;
  };
  struct Limits {
    P low, high;
    void add(P a, P b) {
      low += math::min(a, b);
      high += math::max(a, b);
    }
  };

  /// The end of a part of a period, 2^-(part + 2).
  [[nodiscard]] State after(int part) {
    static constexpr P cosines[] = {P(0),
                                    P(0.70710678118654752440084436210485L),
                                    P(0.92387953251128675612818318939679L),
                                    P(0.98078528040323044912618223613424L),
                                    P(0.99518472667219688624483695310948L),
                                    P(0.99879545620517239271477160475910L)};
    static constexpr P sines[] = {P(1),
                                  P(0.70710678118654752440084436210485L),
                                  P(0.38268343236508977172845998403040L),
                                  P(0.19509032201612826784828486847702L),
                                  P(0.09801714032956060199419556388864L),
                                  P(0.04906767432741801425495497694268L)};
    const P length = quarter_ / P(1 << part);
    if (part != decays_part_) {
      for (std::size_t k = 0; k < sum_.rest.size(); ++k) decays_[k] = math::exp(P(sum_.rest.rate(k) * length));
      decays_part_ = part;
    }
    State next;
    next.t = now_.t + length;
    next.re = now_.re * cosines[part] - now_.im * sines[part];
    next.im = now_.re * sines[part] + now_.im * cosines[part];
    for (std::size_t k = 0; k < sum_.rest.size(); ++k) next.fading[k] = now_.fading[k] * decays_[k];
    return next;
  }
  void move_to(const State& next) {
    now_.t = next.t;
    now_.re = next.re;
    now_.im = next.im;
    for (std::size_t k = 0; k < sum_.rest.size(); ++k) now_.fading[k] = next.fading[k];
  }
  void set(P t) {
    const P angle = sum_.turn * t, cosine = math::cos(angle), sine = math::sin(angle);
    now_.t = t;
    now_.re = sum_.along * cosine - sum_.across * sine;
    now_.im = sum_.along * sine + sum_.across * cosine;
    for (std::size_t k = 0; k < sum_.rest.size(); ++k)
      now_.fading[k] = sum_.rest.amplitude(k) * math::exp(P(sum_.rest.rate(k) * t));
  }
  /// What decays ends at zero, and nothing else moves but the swing.
  [[nodiscard]] bool never_falls() const {
    P least = -size_;
    for (std::size_t k = 0; k < sum_.rest.size(); ++k) {
      const P rate = sum_.rest.rate(k), now = now_.fading[k];
      if (rate > P(0) && now < P(0)) return false;
      least += rate < P(0) ? math::min(now, P(0)) : now;
    }
    return least > P(0);
  }
  /// Range of one component of the swing over a part; the other one changes sign where it turns back.
  [[nodiscard]] Limits range(P from, P to, bool top, bool bottom) const {
    return {bottom ? -size_ : math::min(from, to), top ? size_ : math::max(from, to)};
  }
  [[nodiscard]] Verdict judge(const State& next) {
    const P w = sum_.turn, length = next.t - now_.t;
    const Limits re = range(now_.re, next.re, now_.im < P(0) && next.im >= P(0), now_.im >= P(0) && next.im < P(0));
    const Limits im = range(now_.im, next.im, now_.re >= P(0) && next.re < P(0), now_.re < P(0) && next.re >= P(0));
    Limits values = re, slopes{-w * im.high, -w * im.low}, curvatures{-w * w * re.high, -w * w * re.low};
    P value = now_.re, slope = -w * now_.im, last = next.re;
    for (std::size_t k = 0; k < sum_.rest.size(); ++k) {
      const P rate = sum_.rest.rate(k), a = now_.fading[k], b = next.fading[k];
      values.add(a, b);
      slopes.add(rate * a, rate * b);
      curvatures.add(rate * rate * a, rate * rate * b);
      value += a;
      slope += rate * a;
      last += b;
    }
    value_ = value;
    slope_ = slope;
    last_ = last;
    if (values.low > P(0) || slopes.low >= P(0) || value + length * slopes.low > P(0)) return Verdict::passes;
    if (slopes.high <= P(0) || curvatures.high <= P(0)) return last > P(0) ? Verdict::passes : Verdict::falls_once;
    safe_ = parabola(value, slope, curvatures.low);
    return safe_ >= length ? Verdict::passes : Verdict::not_decided;
  }
  /// Length over which value + slope h + bend h^2 / 2 stays above zero; bend < 0 or slope < 0.
  [[nodiscard]] static P parabola(P value, P slope, P bend) {
    const P square = slope * slope - P(2) * bend * value;
    if (square < P(0)) return std::numeric_limits<P>::infinity();
    const P root = math::sqrt(square);
    if (slope < P(0)) return P(2) * value / (root - slope);
    return bend < P(0) ? (slope + root) / -bend : std::numeric_limits<P>::infinity();
  }
  /// Starts where a parabola through both ends, with the first one's slope, falls.
  [[nodiscard]] P search(const State& next, P until) const {
    const P length = next.t - now_.t, bend = P(2) * (last_ - value_ - slope_ * length) / (length * length);
    const P ahead = math::min(parabola(value_, slope_, bend), length);
    SwingingSum<P> left{sum_.along, sum_.across, sum_.turn, {}};
    for (std::size_t k = 0; k < sum_.rest.size(); ++k)
      if (math::abs(now_.fading[k]) + math::abs(next.fading[k]) > P(1e-4) * round_off<P> * size_)  // not died away
        left.rest.add(sum_.rest.amplitude(k), sum_.rest.rate(k));
    return falling_root([&](P t) { return left.at(t); }, now_.t, next.t, now_.t + ahead, until);
  }

  const SwingingSum<P>& sum_;
  P size_, quarter_;  // V; s
  State now_;
  int decays_part_ = -1;
  std::array<P, FadingSum<P>::most> decays_;
  P value_ = P(0), slope_ = P(0), last_ = P(0), safe_ = P(0);
};

/// The first fall of a constant, exponentials and a steady swing if there is any (`turn` above 0).
/// @param value of the sum at t = 0; @param noise what counts as zero there
/// @return s, or `until` if not before that; not_decided if the sum is not clearly above zero at the start, or if
/// neither signs nor a long walk tell
template <class P>
[[nodiscard]] P simple_fall(SwingingSum<P>& sum, P value, P until, P noise) {
  using Verdict = typename FadingSum<P>::Verdict;
  if (!(value > noise)) return not_decided<P>;
  if (sum.turn > P(0)) return SwingingFall<P>(sum).find(until);
  switch (sum.rest.judge(noise)) {
  case Verdict::stays: return until;
  case Verdict::falls_once: return sum.rest.fall(until);
  default: return not_decided<P>;
  }
}

}  // namespace gastube::exact
