// SPDX-License-Identifier: MIT
#pragma once
/// The firing delay as a distribution: formative lags spread about their mean, and before them the wait for a first
/// electron.

#include "gastube/support/checked.hpp"
#include "gastube/support/math.hpp"
#include "gastube/support/root.hpp"

namespace gastube {

namespace normal {
/// erfc(x) for any scalar: value and first derivative.
template <Real S>
[[nodiscard]] S erfc(const S& x) {
  if constexpr (is_plain<S>) {
    return std::erfc(x);
  } else {
    using P = Plain<S>;
    const P at = value_of(x), slope = -P(1.12837916709551257390L) * std::exp(-at * at);  // 2 / sqrt(pi)
    return S(S(std::erfc(at)) + S(slope) * (x - S(at)));
  }
}
/// Share of a standard normal distribution below z.
template <Real S>
[[nodiscard]] S share_below(const S& z) {
  return S(S(Plain<S>(0.5)) * normal::erfc(S(S(Plain<S>(-0.70710678118654752440L)) * z)));
}
/// exp(w^2) erfc(w) for w of at least 3, where the product would over- and underflow: Laplace's continued fraction, to
/// round-off (M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, 7.1.14).
template <Real S>
[[nodiscard]] S scaled_erfc(const S& w) {
  S fraction = w;
  for (int k = 100; k >= 1; --k) fraction = S(w + S(Plain<S>(0.5) * Plain<S>(k)) / fraction);
  return S(S(Plain<S>(0.56418958354775628695L)) / fraction);  // 1 / sqrt(pi)
}
}  // namespace normal

/// Whatever gives equally likely bits: every generator of the standard library, and a microcontroller's own.
template <class G>
concept BitGenerator = requires(G& generator) {
  { generator() } -> std::unsigned_integral;
  { G::min() } -> std::unsigned_integral;
  { G::max() } -> std::unsigned_integral;
};

/// A number strictly between 0 and 1 from as many draws as its digits need: the same from the same generator with every
/// standard library, which std::uniform_real_distribution does not promise.
template <std::floating_point P = double, BitGenerator G>
[[nodiscard]] P open_unit(G& generator) {
  constexpr P range = P(G::max() - G::min()) + P(1);
  P value = P(0), span = P(1);
  do {
    value = value * range + P(generator() - G::min());
    span *= range;
  } while (span * std::numeric_limits<P>::epsilon() < P(1));
  const P least = std::numeric_limits<P>::epsilon() / P(2);
  return math::clamp(value / span, least, P(1) - least);
}

/// Delay = normally distributed formative lag + exponentially distributed statistical lag (M. von Laue, 1925; the two
/// convolved as measured in krypton, Phys. Plasmas 13, 083502, 2006, abstract). Either part may be absent. Delays are
/// not negative: a lag so far from its mean, one in 3 million at most, counts as 0.
template <Real S>
struct FiringJitter {
  S lag;                 ///< s, mean formative lag, at least 0: FormativeLag::delay
  S spread;              ///< s, standard deviation of the formative lag, 0 to a fifth of the lag
  S statistical = S(0);  ///< s, mean statistical lag, at least 0; 0 for a hot cathode, which gives electrons always

  /// @throws InvalidParameter
  void check() const {
    Check{"firing jitter"}
        .at_least("lag", lag, 0.0, "s")
        .at_least("spread", spread, 0.0, "s")
        .that(value_of(spread) <= Plain<S>(0.2) * value_of(lag) * (Plain<S>(1) + Plain<S>(4) * round_off<S>), "spread",
              spread, "s", "not above a fifth of the lag")
        .at_least("statistical", statistical, 0.0, "s");
  }
  /// s.
  [[nodiscard]] S mean() const { return S(lag + statistical); }
  /// Standard deviation, s: what data sheets call jitter, where they do not mean the extremes.
  [[nodiscard]] S deviation() const {
    const bool none = !(value_of(spread) > Plain<S>(0)) && !(value_of(statistical) > Plain<S>(0));
    return none ? S(0) : math::sqrt(S(spread * spread + statistical * statistical));
  }
  /// Share of pulses that have fired by this time, 0 to 1. @param time s after the drive
  [[nodiscard]] S share_fired_by(const S& time) const {
    if (!(value_of(time) >= Plain<S>(0))) return S(0);
    const S past = S(time - lag);
    if (!(value_of(spread) > tiny * value_of(statistical))) return without_spread(past);
    const S formed = normal::share_below(S(past / spread));
    return math::clamp(S(formed - waiting(past)), S(0), S(1));
  }
  /// Time by which a share of the pulses has fired, s: the inverse of share_fired_by; unlimited for all of them if
  /// there is a spread or statistical lag. @param share 0 to 1 @throws InvalidParameter
  [[nodiscard]] S quantile(const S& share) const requires is_plain<S> {
    Check{"firing jitter"}.between("share", share, 0.0, 1.0, "");
    if (!(deviation() > S(0))) return lag;
    if (!(share < S(1))) return unlimited<S>();
    const auto missing = [&](S time) { return S(share - share_fired_by(time)); };
    const S latest = bound(share);
    if (!(missing(S(0)) > S(0))) return S(0);
    if (missing(latest) > S(0)) return latest;  // by round-off
    return find_root(missing, S(0), latest, S(round_off<S> * deviation()));
  }
  /// One pulse's delay, s.
  template <BitGenerator G>
    requires is_plain<S>
  [[nodiscard]] S sample(G& generator) const { return quantile(open_unit<S>(generator)); }

 private:
  static constexpr Plain<S> tiny = round_off<S> * round_off<S>;  // beside the other, a part so small is nothing

  [[nodiscard]] S without_spread(const S& past) const {
    if (!(value_of(past) >= Plain<S>(0))) return S(0);
    if (!(value_of(statistical) > Plain<S>(0))) return S(1);
    return S(S(1) - math::exp(S(-past / statistical)));
  }
  /// Share of the pulses whose lag has formed but which still wait for their electron: with z = past / spread and
  /// k = spread / statistical, exp(k^2 / 2 - k z) times the normal share below z - k.
  [[nodiscard]] S waiting(const S& past) const {
    if (!(value_of(statistical) > tiny * value_of(spread))) return S(0);
    const S half = S(Plain<S>(0.5)), z = S(past / spread), k = S(spread / statistical);
    const S w = S(S(Plain<S>(0.70710678118654752440L)) * (k - z));
    if (value_of(w) > Plain<S>(3)) return S(half * math::exp(S(-half * z * z)) * normal::scaled_erfc(w));
    return S(half * math::exp(S(k * (half * k - z))) * normal::erfc(w));
  }
  /// A time by which more than this share has fired: each part alone is later with half the rest's probability at most.
  [[nodiscard]] S bound(S share) const {
    const S rest = math::max(S(S(0.5) * (S(1) - share)), S(round_off<S> * round_off<S>));
    return S(lag + spread * math::sqrt(S(S(-2) * math::log(rest))) - statistical * math::log(rest));
  }
};

}  // namespace gastube
