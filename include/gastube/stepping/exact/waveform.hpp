// SPDX-License-Identifier: MIT
#pragma once
/// What every quantity of a linear circuit is between two events: a polynomial in time, exponentials, and swings
/// t^p exp(growth t) cos(turn t). Bounds over a stretch of time, not samples of it, tell where such a sum may fall.

#include "gastube/support/math.hpp"
#include "gastube/support/storage.hpp"

#include <array>
#include <cstddef>

namespace gastube::exact {

/// Highest power of time in a waveform, and in front of one of its swings.
inline constexpr std::size_t top_power = 3, top_swing_power = 12;
template <class S>
using Powers = std::array<S, top_power + 1>;
template <class S>
using SwingPowers = std::array<S, top_swing_power + 1>;

/// A pair of conjugate eigenvalues growth +- i turn (turn may be 0), with powers of time up to `degree`.
template <Real S>
struct Swing {
  S growth = S(0), turn = S(0);  ///< 1/s, rad/s
  std::size_t degree = 0;
};
/// Amplitudes of one swing, Re(sum_p (along_p + i across_p) t^p exp((growth + i turn) t)); without values at first.
template <Real S>
struct SwingAmplitude {
  SwingPowers<S> along, across;

  /// At most this much of it is there at the start, whatever its phase.
  [[nodiscard]] Plain<S> size() const { return math::abs(value_of(along[0])) + math::abs(value_of(across[0])); }
};

/// The exponentials and swings that all quantities of one pattern share.
template <Real S, std::size_t Rates, std::size_t Swings>
struct Timebase {
  std::size_t rate_count = 0, swing_count = 0;
  Storage<S, Rates> rates;  ///< 1/s, of exp(rate t)
  Storage<Swing<S>, Swings> swings;
};

/// One quantity over the timebase of its pattern. Left without values until cleared: most of its room is never used.
template <Real S, std::size_t Rates, std::size_t Swings>
struct Waveform {
  using Base = Timebase<S, Rates, Swings>;

  Powers<S> powers;
  Storage<S, Rates> amplitudes;
  Storage<SwingAmplitude<S>, Swings> swings;

  /// Makes room at run-time size. Never needed at fixed size.
  void resize(std::size_t rates, std::size_t swing_count) {
    if constexpr (Rates == dynamic_extent) amplitudes.resize(rates);
    if constexpr (Swings == dynamic_extent) swings.resize(swing_count);
  }
  void clear(const Base& base) {
    powers = {};
    for (std::size_t k = 0; k < base.rate_count; ++k) amplitudes[k] = S(0);
    for (std::size_t k = 0; k < base.swing_count; ++k)
      for (std::size_t p = 0; p <= base.swings[k].degree; ++p) swings[k].along[p] = swings[k].across[p] = S(0);
  }
  /// Takes over another one of the same timebase; room that neither uses is not touched.
  void copy(const Base& base, const Waveform& other) {
    powers = other.powers;
    for (std::size_t k = 0; k < base.rate_count; ++k) amplitudes[k] = other.amplitudes[k];
    for (std::size_t k = 0; k < base.swing_count; ++k)
      for (std::size_t p = 0; p <= base.swings[k].degree; ++p) {
        swings[k].along[p] = other.swings[k].along[p];
        swings[k].across[p] = other.swings[k].across[p];
      }
  }
  void add(const Base& base, const S& factor, const Waveform& other) {
    for (std::size_t p = 0; p <= top_power; ++p) powers[p] += factor * other.powers[p];
    for (std::size_t k = 0; k < base.rate_count; ++k) amplitudes[k] += factor * other.amplitudes[k];
    for (std::size_t k = 0; k < base.swing_count; ++k)
      for (std::size_t p = 0; p <= base.swings[k].degree; ++p) {
        swings[k].along[p] += factor * other.swings[k].along[p];
        swings[k].across[p] += factor * other.swings[k].across[p];
      }
  }
  /// True if nothing of it moves.
  [[nodiscard]] bool is_constant(const Base& base) const {
    const auto zero = [](const S& a) { return value_of(a) == Plain<S>(0); };
    for (std::size_t p = 1; p <= top_power; ++p)
      if (!zero(powers[p])) return false;
    for (std::size_t k = 0; k < base.rate_count; ++k)
      if (!zero(amplitudes[k])) return false;
    for (std::size_t k = 0; k < base.swing_count; ++k)
      for (std::size_t p = 0; p <= base.swings[k].degree; ++p)
        if (!zero(swings[k].along[p]) || !zero(swings[k].across[p])) return false;
    return true;
  }
  /// Size of its largest part at the start, for round-off.
  [[nodiscard]] Plain<S> size(const Base& base) const {
    Plain<S> sum = math::abs(value_of(powers[0]));
    for (std::size_t k = 0; k < base.rate_count; ++k) sum += math::abs(value_of(amplitudes[k]));
    for (std::size_t k = 0; k < base.swing_count; ++k) sum += swings[k].size();
    return sum;
  }
  /// How fast it moves by what does not die away, ramps and steady swings: sources move by the time of day, whose
  /// round-off grows.
  [[nodiscard]] Plain<S> lasting_slope(const Base& base) const {
    Plain<S> sum = math::abs(value_of(powers[1]));
    for (std::size_t k = 0; k < base.swing_count; ++k)
      if (value_of(base.swings[k].growth) == Plain<S>(0)) sum += value_of(base.swings[k].turn) * swings[k].size();
    return sum;
  }
};

/// Least and greatest value over a stretch of time.
template <class P>
struct Range {
  P low = P(0), high = P(0);

  void add(P a, P b) {
    low += a < b ? a : b;
    high += a < b ? b : a;
  }
  void widen(P by) {
    low -= by;
    high += by;
  }
};
template <class P>
[[nodiscard]] Range<P> operator*(const Range<P>& a, const Range<P>& b) {
  Range<P> product{a.low * b.low, a.low * b.low};
  for (const P corner : {a.low * b.high, a.high * b.low, a.high * b.high}) {
    product.low = corner < product.low ? corner : product.low;
    product.high = corner > product.high ? corner : product.high;
  }
  return product;
}

/// A waveform at one time, and the ranges of it and of its derivatives from then until the end of a stretch.
template <class P>
struct Outlook {
  P value = P(0), slope = P(0);
  Range<P> values{}, slopes{}, curvatures{};
};

namespace detail {
/// Greatest s^p exp(growth s) for s from `from` to `until`.
template <class P>
[[nodiscard]] P greatest_envelope(std::size_t p, P growth, P from, P until) {
  P s = growth < P(0) ? P(p) / -growth : until;
  if (growth == P(0) && p == 0) return P(1);
  s = s < from ? from : s > until ? until : s;
  P power = math::exp(P(growth * s));
  for (std::size_t k = 0; k < p; ++k) power *= s;
  return power;
}

template <Real S>
void look_at_powers(const Powers<S>& powers, Plain<S> t, Plain<S> until, Outlook<Plain<S>>& out) {
  using P = Plain<S>;
  const P a = value_of(powers[0]), b = value_of(powers[1]), c = value_of(powers[2]), d = value_of(powers[3]);
  if (b == P(0) && c == P(0) && d == P(0)) {
    out.value += a;
    out.values.add(a, a);
    return;
  }
  const P h = until - t, here = a + t * (b + t * (c + t * d)), slope = b + t * (P(2) * c + t * P(3) * d);
  Range<P> bend{}, rise{slope, slope}, value{here, here};
  out.value += here;
  out.slope += slope;
  bend.add(P(2) * c + P(6) * d * t, P(2) * c + P(6) * d * until);
  rise.add(P(0), h * (bend.low < P(0) ? bend.low : P(0)));
  rise.add(P(0), h * (bend.high > P(0) ? bend.high : P(0)));
  value.add(P(0), h * (rise.low < P(0) ? rise.low : P(0)));
  value.add(P(0), h * (rise.high > P(0) ? rise.high : P(0)));
  out.values.add(value.low, value.high);
  out.slopes.add(rise.low, rise.high);
  out.curvatures.add(bend.low, bend.high);
}

template <Real S>
void look_at_swing(const Swing<S>& swing, const SwingAmplitude<S>& w, Plain<S> t, Plain<S> until,
                   Outlook<Plain<S>>& out) {
  using P = Plain<S>;
  const P g = value_of(swing.growth), turn = value_of(swing.turn), size = math::abs(g) + math::abs(turn);
  const P envelope = math::exp(P(g * t)), cosine = math::cos(P(turn * t)), sine = math::sin(P(turn * t));
  P along(0), across(0), along_rise(0), across_rise(0), power(1);
  for (std::size_t p = 0; p <= swing.degree; ++p, power *= t) {
    const P a = value_of(w.along[p]), b = value_of(w.across[p]), weight = math::abs(a) + math::abs(b);
    if (weight == P(0)) continue;
    along += a * power;
    across += b * power;
    const P before = p == 0 ? P(0) : P(p) * (p == 1 ? P(1) : power / t);  // t > 0 for p > 1, or the term is 0
    if (p == 1 || t > P(0)) along_rise += a * before, across_rise += b * before;
    const P top = greatest_envelope(p, g, t, until);
    const P lower = p > 0 ? greatest_envelope(p - 1, g, t, until) : P(0);
    const P lowest = p > 1 ? greatest_envelope(p - 2, g, t, until) : P(0);
    out.values.widen(weight * top);
    out.slopes.widen(weight * (size * top + P(p) * lower));
    out.curvatures.widen(weight * (size * size * top + P(2 * p) * size * lower + P(p * (p - 1)) * lowest));
  }
  const P re = envelope * (along * cosine - across * sine), im = envelope * (along * sine + across * cosine);
  out.value += re;
  out.slope += g * re - turn * im + envelope * (along_rise * cosine - across_rise * sine);
}
}  // namespace detail

/// Adds a waveform without its exponentials; 0 <= t <= until, s since the start of the segment.
template <Real S, std::size_t Rates, std::size_t Swings>
void look_at_smooth(const Timebase<S, Rates, Swings>& base, const Waveform<S, Rates, Swings>& w, Plain<S> t,
                    Plain<S> until, Outlook<Plain<S>>& out) {
  detail::look_at_powers(w.powers, t, until, out);
  for (std::size_t k = 0; k < base.swing_count; ++k) detail::look_at_swing(base.swings[k], w.swings[k], t, until, out);
}
/// Looks from time t to `until`.
template <Real S, std::size_t Rates, std::size_t Swings>
[[nodiscard]] Outlook<Plain<S>> look(const Timebase<S, Rates, Swings>& base, const Waveform<S, Rates, Swings>& w,
                                     Plain<S> t, Plain<S> until) {
  using P = Plain<S>;
  Outlook<P> out;
  look_at_smooth(base, w, t, until, out);
  for (std::size_t k = 0; k < base.rate_count; ++k) {
    const P amplitude = value_of(w.amplitudes[k]);
    if (amplitude == P(0)) continue;
    const P rate = value_of(base.rates[k]);
    const P now = t > P(0) ? amplitude * math::exp(P(rate * t)) : amplitude;
    const P last = rate < P(0) ? P(0) : amplitude * math::exp(P(rate * until));
    out.value += now;
    out.slope += rate * now;
    out.values.add(now, last);
    out.slopes.add(rate * now, rate * last);
    out.curvatures.add(rate * rate * now, rate * rate * last);
  }
  return out;
}
/// Adds the product of two.
template <class P>
void add_product(const Outlook<P>& a, const Outlook<P>& b, Outlook<P>& out) {
  const auto add = [](Range<P>& to, const Range<P>& range, P times) {
    to.low += times * range.low;
    to.high += times * range.high;
  };
  out.value += a.value * b.value;
  out.slope += a.value * b.slope + a.slope * b.value;
  add(out.values, a.values * b.values, P(1));
  add(out.slopes, a.slopes * b.values, P(1));
  add(out.slopes, a.values * b.slopes, P(1));
  add(out.curvatures, a.curvatures * b.values, P(1));
  add(out.curvatures, a.slopes * b.slopes, P(2));
  add(out.curvatures, a.values * b.curvatures, P(1));
}

/// The waveform without its exponentials at time t, s, with the derivatives that the scalar carries.
template <Real S, std::size_t Rates, std::size_t Swings>
[[nodiscard]] S smooth_at(const Timebase<S, Rates, Swings>& base, const Waveform<S, Rates, Swings>& w, const S& t) {
  S sum = S(w.powers[0] + t * (w.powers[1] + t * (w.powers[2] + t * w.powers[3])));
  for (std::size_t k = 0; k < base.swing_count; ++k) {
    const auto& [growth, turn, degree] = base.swings[k];
    S along(0), across(0);
    for (std::size_t p = degree + 1; p-- > 0;) {
      along = S(along * t + w.swings[k].along[p]);
      across = S(across * t + w.swings[k].across[p]);
    }
    const S angle = S(turn * t);
    sum += math::exp(S(growth * t)) * S(along * math::cos(angle) - across * math::sin(angle));
  }
  return sum;
}
/// The whole of it.
template <Real S, std::size_t Rates, std::size_t Swings>
[[nodiscard]] S value_at(const Timebase<S, Rates, Swings>& base, const Waveform<S, Rates, Swings>& w, const S& t) {
  S sum = smooth_at(base, w, t);
  for (std::size_t k = 0; k < base.rate_count; ++k)
    if (value_of(w.amplitudes[k]) != Plain<S>(0) || !is_plain<S>)
      sum += w.amplitudes[k] * math::exp(S(base.rates[k] * t));
  return sum;
}

}  // namespace gastube::exact
