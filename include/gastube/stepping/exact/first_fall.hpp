// SPDX-License-Identifier: MIT
#pragma once
/// The first time at which a guard falls to zero along the closed form. Nothing is sampled: from each time looked at,
/// the curvature's bound gives a parabola below the guard until the end of the stretch, and the search goes on where
/// that parabola falls to zero. So no crossing is passed over, however short the dip, and near a crossing the steps
/// shrink as Newton's do.

#include "gastube/stepping/exact/waveform.hpp"

#include <optional>

namespace gastube::exact {

/// A sum of waveforms and of products of two of them: linear + first[0] second[0] + first[1] second[1].
template <Real S, std::size_t Rates, std::size_t Swings>
struct GuardSum {
  using Wave = Waveform<S, Rates, Swings>;
  static constexpr std::size_t most_products = 2;
  Wave linear;
  bool joined = false;  ///< stands in one group with the sum before
  std::size_t products = 0;
  std::array<Wave, most_products> first, second;
};

/// A guard: it falls when the first of its groups does (greatest: the last), and a group when the last of its sums does
/// (greatest: the first).
template <Real S, std::size_t Rates, std::size_t Swings>
struct GuardWave {
  static constexpr std::size_t most_sums = 7;
  bool greatest = false;
  std::size_t sums = 0;
  std::array<GuardSum<S, Rates, Swings>, most_sums> sum;
};

template <Real S, std::size_t Rates, std::size_t Swings>
[[nodiscard]] Outlook<Plain<S>> look(const Timebase<S, Rates, Swings>& base, const GuardSum<S, Rates, Swings>& sum,
                                     Plain<S> t, Plain<S> until) {
  using P = Plain<S>;
  Outlook<P> out = look(base, sum.linear, t, until);
  for (std::size_t k = 0; k < sum.products; ++k) {
    const Outlook<P> a = look(base, sum.first[k], t, until), b = look(base, sum.second[k], t, until);
    out.value += a.value * b.value;
    out.slope += a.value * b.slope + a.slope * b.value;
    const auto add = [](Range<P>& to, const Range<P>& range, P times) {
      to.low += times * range.low;
      to.high += times * range.high;
    };
    add(out.values, a.values * b.values, P(1));
    add(out.slopes, a.slopes * b.values, P(1));
    add(out.slopes, a.values * b.slopes, P(1));
    add(out.curvatures, a.curvatures * b.values, P(1));
    add(out.curvatures, a.slopes * b.slopes, P(2));
    add(out.curvatures, a.values * b.curvatures, P(1));
  }
  return out;
}
template <Real S, std::size_t Rates, std::size_t Swings>
[[nodiscard]] S value_at(const Timebase<S, Rates, Swings>& base, const GuardSum<S, Rates, Swings>& sum, const S& t) {
  S total = value_at(base, sum.linear, t);
  for (std::size_t k = 0; k < sum.products; ++k)
    total += value_at(base, sum.first[k], t) * value_at(base, sum.second[k], t);
  return total;
}

namespace detail {
/// Length over which value + slope h + bend h^2 / 2 stays above zero; `ever` if it does for ever. value >= 0.
template <class P>
[[nodiscard]] P safe_step(P value, P slope, P bend, P ever) {
  const P square = slope * slope - P(2) * bend * value;
  if (square < P(0)) return ever;
  const P root = math::sqrt(square);
  if (slope < P(0)) return P(2) * value / (root - slope);
  return bend < P(0) ? (slope + root) / -bend : ever;
}

/// How far ahead of t a sum is known to stay above zero: 0 if it is at or below it now (at the start: within
/// round-off of zero and not rising), at least until - t if it does not fall in this stretch at all.
template <class Base, class Sum, class P>
[[nodiscard]] P safe_ahead(const Base& base, const Sum& sum, P t, P until, P noise) {
  const Outlook<P> out = look(base, sum, t, until);
  const P ever = P(2) * (until - t) + P(1);
  if (out.values.low > P(0)) return ever;
  if (t == P(0) && math::abs(out.value) <= noise)
    return out.slope > P(0) ? safe_step(P(0), out.slope, out.curvatures.low, ever) : P(0);
  if (!(out.value > P(0))) return P(0);
  return safe_step(out.value, out.slope, out.curvatures.low, ever);
}
}  // namespace detail

enum class FallStatus { none, found, lost };
template <class P>
struct Fall {
  FallStatus status = FallStatus::none;
  P time = P(0);        ///< s since the start of the segment
  std::size_t sum = 0;  ///< which of the guard's sums fell there, of greatest ones the last
};

/// @param until s, above 0; @param noise what counts as zero at the start, in the guard's unit
/// `lost` if the search does not end (a guard that is not finite).
template <Real S, std::size_t Rates, std::size_t Swings>
[[nodiscard]] Fall<Plain<S>> first_fall(const Timebase<S, Rates, Swings>& base,
                                        const GuardWave<S, Rates, Swings>& guard, Plain<S> until,
                                        const std::array<Plain<S>, GuardWave<S, Rates, Swings>::most_sums>& noise) {
  using P = Plain<S>;
  constexpr int most_looks = 100000;
  P t(0);
  for (int count = 0; count < most_looks; ++count) {
    P step = guard.greatest ? P(0) : P(2) * (until - t) + P(1);
    P group(0);
    std::size_t which = 0, in_group = 0;
    for (std::size_t k = 0; k < guard.sums; ++k) {
      const P ahead = detail::safe_ahead(base, guard.sum[k], t, until, noise[k]);
      if (!(ahead >= P(0))) return {FallStatus::lost, t, k};
      if (!guard.sum[k].joined || (guard.greatest ? ahead < group : ahead > group)) group = ahead, in_group = k;
      if (k + 1 < guard.sums && guard.sum[k + 1].joined) continue;
      if (guard.greatest ? group > step : group < step) step = group, which = in_group;
    }
    if (t + step >= until) return {};
    if (step <= P(2) * round_off<S> * t) return {FallStatus::found, t + step, which};
    t += step;
  }
  return {FallStatus::lost, t, 0};
}

/// The same time with derivatives, and polished: two Newton steps on the sum that fell.
template <Real S, std::size_t Rates, std::size_t Swings>
[[nodiscard]] S refined(const Timebase<S, Rates, Swings>& base, const GuardSum<S, Rates, Swings>& sum, Plain<S> t) {
  const Plain<S> slope = look(base, sum, t, t).slope;
  S time = S(t);
  if (!(slope < Plain<S>(0))) return time;
  for (int round = 0; round < (is_plain<S> ? 0 : 2); ++round)
    time = S(time - (value_at(base, sum, time) - S(value_of(value_at(base, sum, time)))) / S(slope));
  return time;
}

}  // namespace gastube::exact
