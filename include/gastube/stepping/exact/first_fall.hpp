// SPDX-License-Identifier: MIT
#pragma once
/// The first time at which a guard falls to zero along the closed form. Nothing is sampled: from each time looked at,
/// the curvature's bound gives a parabola below the guard until the end of the stretch, and the search goes on where
/// that parabola falls to zero. So no crossing is passed over, however short the dip, and near a crossing the steps
/// shrink as Newton's do.

#include "gastube/stepping/exact/swinging_fall.hpp"
#include "gastube/stepping/exact/waveform.hpp"
#include "gastube/stepping/linear.hpp"

#include <optional>

namespace gastube::exact {

/// A sum of a waveform without its exponentials, of exponentials of any rates, and of products of two waveforms.
/// Products of exponentials are exponentials again, so that products seldom remain.
template <Real S, std::size_t Rates, std::size_t Swings>
struct GuardSum {
  using Wave = Waveform<S, Rates, Swings>;
  using Base = Timebase<S, Rates, Swings>;
  static constexpr std::size_t most_products = 2, most_fading = extent_product(4, Rates);

  bool joined = false;  ///< stands in one group with the sum before
  Wave smooth;          ///< its amplitudes are not used
  std::size_t fading = 0;
  Storage<S, most_fading> amplitudes, rates;
  std::size_t products = 0;
  std::array<Wave, most_products> first, second;

  /// Makes room at run-time size.
  void resize(std::size_t rate_count, std::size_t swing_count) {
    smooth.resize(rate_count, swing_count);
    for (auto* waves : {&first, &second})
      for (Wave& wave : *waves) wave.resize(rate_count, swing_count);
    if constexpr (most_fading == dynamic_extent) {
      amplitudes.resize(4 * rate_count);
      rates.resize(4 * rate_count);
    }
  }
  void add_fading(const S& amplitude, const S& rate) {
    amplitudes[fading] = amplitude;
    rates[fading++] = rate;
  }
  /// Takes the exponentials out of `smooth`.
  void list_fading(const Base& base) {
    fading = 0;
    for (std::size_t k = 0; k < base.rate_count; ++k)
      if (counts(smooth.amplitudes[k])) add_fading(smooth.amplitudes[k], base.rates[k]);
  }
  /// Writes the last product out if its factors are constants and exponentials, and there is room.
  void write_out_product(const Base& base) {
    const Wave &a = first[products - 1], &b = second[products - 1];
    const std::size_t in_a = count(a, base), in_b = count(b, base);
    if (in_a == some_other || in_b == some_other || fading + in_a + in_b + in_a * in_b > rates.size()) return;
    smooth.powers[0] += a.powers[0] * b.powers[0];
    for (std::size_t i = 0; i < base.rate_count; ++i) {
      if (counts(a.amplitudes[i])) add_fading(S(a.amplitudes[i] * b.powers[0]), base.rates[i]);
      if (counts(b.amplitudes[i])) add_fading(S(b.amplitudes[i] * a.powers[0]), base.rates[i]);
      for (std::size_t j = 0; j < base.rate_count && counts(a.amplitudes[i]); ++j)
        if (counts(b.amplitudes[j])) add_fading(S(a.amplitudes[i] * b.amplitudes[j]), S(base.rates[i] + base.rates[j]));
    }
    --products;
  }
  /// What round-off at the start is relative to.
  [[nodiscard]] Plain<S> size(const Base& base) const {
    Plain<S> sum = math::abs(value_of(smooth.powers[0]));
    for (std::size_t k = 0; k < base.swing_count; ++k) sum += smooth.swings[k].size();
    for (std::size_t k = 0; k < fading; ++k) sum += math::abs(value_of(amplitudes[k]));
    for (std::size_t k = 0; k < products; ++k) sum += first[k].size(base) * second[k].size(base);
    return sum;
  }
  /// Its value at the start.
  [[nodiscard]] Plain<S> at_start(const Base& base) const {
    Plain<S> sum = value_of(smooth.powers[0]);
    for (std::size_t k = 0; k < base.swing_count; ++k) sum += value_of(smooth.swings[k].along[0]);
    for (std::size_t k = 0; k < fading; ++k) sum += value_of(amplitudes[k]);
    for (std::size_t k = 0; k < products; ++k)
      sum += value_of(value_at(base, first[k], S(0))) * value_of(value_at(base, second[k], S(0)));
    return sum;
  }
  [[nodiscard]] Plain<S> lasting_slope(const Base& base) const {
    Plain<S> sum = smooth.lasting_slope(base);
    for (std::size_t k = 0; k < products; ++k)
      sum += first[k].size(base) * second[k].lasting_slope(base) + first[k].lasting_slope(base) * second[k].size(base);
    return sum;
  }

 private:
  static constexpr std::size_t some_other = static_cast<std::size_t>(-1);

  [[nodiscard]] static bool counts(const S& v) { return !is_plain<S> || value_of(v) != Plain<S>(0); }
  /// Exponentials of a wave that has nothing but these and a constant.
  [[nodiscard]] static std::size_t count(const Wave& wave, const Base& base) {
    for (std::size_t p = 1; p <= top_power; ++p)
      if (counts(wave.powers[p])) return some_other;
    for (std::size_t k = 0; k < base.swing_count; ++k)
      for (std::size_t p = 0; p <= base.swings[k].degree; ++p)
        if (counts(wave.swings[k].along[p]) || counts(wave.swings[k].across[p])) return some_other;
    std::size_t number = 0;
    for (std::size_t k = 0; k < base.rate_count; ++k) number += counts(wave.amplitudes[k]) ? 1 : 0;
    return number;
  }
};

/// A guard: it falls when the first of its groups does (greatest: the last), and a group when the last of its sums does
/// (greatest: the first).
template <Real S, std::size_t Rates, std::size_t Swings>
struct GuardWave {
  static constexpr std::size_t most_sums = Margin<S>::most_sums;
  bool greatest = false;
  std::size_t sums = 0;
  std::array<GuardSum<S, Rates, Swings>, most_sums> sum;
};

template <Real S, std::size_t Rates, std::size_t Swings>
[[nodiscard]] S value_at(const Timebase<S, Rates, Swings>& base, const GuardSum<S, Rates, Swings>& sum, const S& t) {
  S total = smooth_at(base, sum.smooth, t);
  for (std::size_t k = 0; k < sum.fading; ++k) total += sum.amplitudes[k] * math::exp(S(sum.rates[k] * t));
  for (std::size_t k = 0; k < sum.products; ++k)
    total += value_at(base, sum.first[k], t) * value_at(base, sum.second[k], t);
  return total;
}

/// A guard's sum at one time, and the least it and its curvature can be from then until the end of a stretch.
template <class P>
struct Footing {
  P value = P(0), slope = P(0);
  P least = P(0), bend = P(0);
  P sharpest = P(0);             ///< at most the curvature's size
  P steepest = P(0);             ///< at most the sum of its parts' slopes
  P fading = P(0), rate = P(0);  ///< greatest part that falls towards zero from above; `least` counts it as 0
};

template <Real S, std::size_t Rates, std::size_t Swings>
[[nodiscard]] Footing<Plain<S>> look_down(const Timebase<S, Rates, Swings>& base, const GuardSum<S, Rates, Swings>& sum,
                                          Plain<S> t, Plain<S> until) {
  using P = Plain<S>;
  Outlook<P> rest;
  look_at_smooth(base, sum.smooth, t, until, rest);
  for (std::size_t k = 0; k < sum.products; ++k)
    add_product(look(base, sum.first[k], t, until), look(base, sum.second[k], t, until), rest);
  Footing<P> out{rest.value,
                 rest.slope,
                 rest.values.low,
                 rest.curvatures.low,
                 math::max(-rest.curvatures.low, rest.curvatures.high),
                 math::max(-rest.slopes.low, rest.slopes.high)};
  for (std::size_t k = 0; k < sum.fading; ++k) {
    const P amplitude = value_of(sum.amplitudes[k]), rate = value_of(sum.rates[k]);
    const P now = t > P(0) ? amplitude * math::exp(P(rate * t)) : amplitude;
    P low = now < P(0) ? now : P(0);  // a decaying part ends near zero
    if (!(rate < P(0))) low = math::min(now, P(amplitude * math::exp(P(rate * until))));
    const P rise = rate * now;
    out.value += now;
    out.slope += rise;
    out.least += low;
    out.bend += rate * rate * low;
    out.sharpest += math::abs(rate * rise);
    out.steepest += math::abs(rise);
    if (rate < P(0) && now > out.fading) out.fading = now, out.rate = rate;
  }
  return out;
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

/// The same from the part that fades most slowly: all else stays above `least`, and  least + fading exp(rate h) > 0.
template <class P>
[[nodiscard]] P safe_while_fading(const Footing<P>& now) {
  if (!(now.fading > -now.least)) return P(0);
  return std::log(-now.least / now.fading) / now.rate;
}

/// How far ahead a sum, or what hangs on it, is known to stay above zero.
template <class P>
struct Ahead {
  P length = P(0);    ///< s
  bool last = false;  ///< it falls within round-off of the end of that length
  std::size_t sum = 0;

  [[nodiscard]] bool beats(const Ahead& other, bool by_length) const {
    return by_length ? length > other.length : length < other.length;
  }
};
/// From t on: 0 if the sum is at or below zero now (at the start: within round-off of zero and falling), more than
/// until - t if it does not fall in this stretch at all.
/// @param lift see lift_at_start()
template <class Base, class Sum, class P>
[[nodiscard]] Ahead<P> safe_ahead(const Base& base, const Sum& sum, std::size_t k, P t, P until, P noise, P lift) {
  Footing<P> now = look_down(base, sum, t, until);
  now.value += lift;
  now.least += lift;
  const P ever = P(2) * (until - t) + P(1);
  if (now.least > P(0)) return {ever, false, k};
  if (t == P(0) && lift == P(0) && math::abs(now.value) <= noise) return {P(0), false, k};
  if (!(now.value > P(0))) return {now.value <= P(0) ? P(0) : P(-1), false, k};
  const P step = safe_step(now.value, now.slope, now.bend, ever);
  if (now.sharpest * step * step <= round_off<P> * t * -now.slope) return {step, true, k};
  const P fading = safe_while_fading(now);
  return {fading > step ? fading : step, false, k};
}
/// What has to be added to a sum that starts on its edge and rises, or is level, both within round-off: digits that are
/// none must not make it fall before it is clear of them. An arc's plate voltage where its current has just come to
/// nothing leaves the drop as its curvature says, and the current of a coil lit where it begins to be fed comes from
/// nothing with no slope.
template <class Base, class Sum, class P>
[[nodiscard]] P lift_at_start(const Base& base, const Sum& sum, P until, P noise) {
  if (math::abs(sum.at_start(base)) > P(4) * noise) return P(0);  // as most do: no need to look down
  const Footing<P> now = look_down(base, sum, P(0), until);
  const bool falls = now.slope < P(-64) * round_off<P> * now.steepest;
  return !falls && math::abs(now.value) <= noise ? P(2) * noise : P(0);
}
}  // namespace detail

enum class FallStatus {
  none,
  found,
  open,  ///< not up to the time given, where the search was broken off
  lost,
};
template <class P>
struct Fall {
  FallStatus status = FallStatus::none;
  P time = P(0);        ///< s since the start of the segment
  std::size_t sum = 0;  ///< which of the guard's sums fell there, of greatest ones the last
};

namespace detail {
/// Puts down a sum that is nothing but a constant, exponentials, and one steady swing if any.
/// @return false if it is something else
template <Real S, std::size_t Rates, std::size_t Swings>
[[nodiscard]] bool take_simple(const Timebase<S, Rates, Swings>& base, const GuardSum<S, Rates, Swings>& sum,
                               SwingingSum<Plain<S>>& out) {
  using P = Plain<S>;
  if (sum.products > 0 || sum.fading >= FadingSum<P>::most) return false;
  for (std::size_t p = 1; p <= top_power; ++p)
    if (value_of(sum.smooth.powers[p]) != P(0)) return false;
  for (std::size_t k = 0; k < base.swing_count; ++k) {
    const Swing<S>& swing = base.swings[k];
    const SwingAmplitude<S>& w = sum.smooth.swings[k];
    for (std::size_t p = 1; p <= swing.degree; ++p)
      if (value_of(w.along[p]) != P(0) || value_of(w.across[p]) != P(0)) return false;
    const P along = value_of(w.along[0]), across = value_of(w.across[0]), turn = value_of(swing.turn);
    if (along == P(0) && across == P(0)) continue;
    if (value_of(swing.growth) != P(0) || !(turn > P(0)) || out.turn > P(0)) return false;
    out.along = along;
    out.across = across;
    out.turn = turn;
  }
  out.rest.add(value_of(sum.smooth.powers[0]), P(0));
  for (std::size_t k = 0; k < sum.fading; ++k) out.rest.add(value_of(sum.amplitudes[k]), value_of(sum.rates[k]));
  return true;
}
/// The fall of a guard of one sum, and of a simple kind; nothing if it is not that, or not clearly above zero.
template <Real S, std::size_t Rates, std::size_t Swings>
[[nodiscard]] std::optional<Fall<Plain<S>>> fall_if_simple(const Timebase<S, Rates, Swings>& base,
                                                           const GuardSum<S, Rates, Swings>& sum, Plain<S> until,
                                                           Plain<S> noise) {
  using P = Plain<S>;
  SwingingSum<P> simple;
  if (!take_simple(base, sum, simple)) return std::nullopt;
  P value = simple.along;
  for (std::size_t k = 0; k < simple.rest.size(); ++k) value += simple.rest.amplitude(k);
  const P at = simple_fall(simple, value, until, noise);
  if (at == not_decided<P>) return std::nullopt;
  if (!(at < until)) return Fall<P>{};
  return Fall<P>{FallStatus::found, at, 0};
}
}  // namespace detail

/// @param until s, above 0; @param noise what counts as zero at the start, in the guard's unit
/// @param from s, below `until`: up to there the guard is known not to fall
/// `open` if the search goes on for too long (something that swings for ever); `lost` with a guard that is not finite.
template <Real S, std::size_t Rates, std::size_t Swings>
[[nodiscard]] Fall<Plain<S>> first_fall(const Timebase<S, Rates, Swings>& base,
                                        const GuardWave<S, Rates, Swings>& guard, Plain<S> until,
                                        const std::array<Plain<S>, GuardWave<S, Rates, Swings>::most_sums>& noise,
                                        Plain<S> from = Plain<S>(0)) {
  using P = Plain<S>;
  constexpr int most_looks = 20000;
  if (guard.sums == 1)
    if (const auto fall = detail::fall_if_simple(base, guard.sum[0], until, noise[0])) return *fall;
  std::array<P, GuardWave<S, Rates, Swings>::most_sums> lift{};
  for (std::size_t k = 0; k < guard.sums && !(from > P(0)); ++k)
    lift[k] = detail::lift_at_start(base, guard.sum[k], until, noise[k]);
  P t = from;
  for (int count = 0; count < most_looks; ++count) {
    detail::Ahead<P> whole{guard.greatest ? P(0) : P(2) * (until - t) + P(1), false, 0}, group;
    for (std::size_t k = 0; k < guard.sums; ++k) {
      const detail::Ahead<P> one = detail::safe_ahead(base, guard.sum[k], k, t, until, noise[k], lift[k]);
      if (!(one.length >= P(0))) return {FallStatus::lost, t, k};
      if (!guard.sum[k].joined || one.beats(group, !guard.greatest)) group = one;
      if (k + 1 < guard.sums && guard.sum[k + 1].joined) continue;
      if (group.beats(whole, guard.greatest)) whole = group;
    }
    if (t + whole.length >= until) return {};
    if (whole.last || whole.length <= P(2) * round_off<S> * t) return {FallStatus::found, t + whole.length, whole.sum};
    t += whole.length;
  }
  return {t > P(0) ? FallStatus::open : FallStatus::lost, t, 0};
}

/// The same time with derivatives, and polished: two Newton steps on the sum that fell.
template <Real S, std::size_t Rates, std::size_t Swings>
[[nodiscard]] S refined(const Timebase<S, Rates, Swings>& base, const GuardSum<S, Rates, Swings>& sum, Plain<S> t) {
  S time = S(t);
  if constexpr (!is_plain<S>) {
    const Plain<S> slope = look_down(base, sum, t, t).slope;
    for (int round = 0; slope < Plain<S>(0) && round < 2; ++round)
      time = S(time - (value_at(base, sum, time) - S(value_of(value_at(base, sum, time)))) / S(slope));
  }
  return time;
}

}  // namespace gastube::exact
