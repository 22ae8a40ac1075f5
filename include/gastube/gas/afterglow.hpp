// SPDX-License-Identifier: MIT
#pragma once
/// Plasma after current zero: its ions diffuse to the walls and, in dense plasma, recombine in the volume.

#include "gastube/gas/constants.hpp"
#include "gastube/support/checked.hpp"
#include "gastube/support/math.hpp"

namespace gastube {

namespace detail {
/// 1 - exp(-x) for x >= 0, to full accuracy at small x too.
template <Real S>
[[nodiscard]] S lost_share(const S& x) {
  if (value_of(x) > Plain<S>(0.5)) return S(S(1) - math::exp(S(-x)));
  S sum = S(1);
  for (int k = 17; k > 1; --k) sum = S(S(1) - x * sum / S(k));
  return S(x * sum);
}
/// ln(1 + x) for x >= 0, to full accuracy at small x too.
template <Real S>
[[nodiscard]] S log_above_one(const S& x) {
  if (value_of(x) > Plain<S>(0.5)) return math::log(S(S(1) + x));
  const S z = S(x / (S(2) + x)), z2 = S(z * z);
  S sum = S(0);
  for (int k = 27; k > 0; k -= 2) sum = S(sum * z2 + S(Plain<S>(1) / Plain<S>(k)));
  return S(S(2) * z * sum);
}
}  // namespace detail

/// Time constant in which a plasma leaves its space, s: diffusion, limited by the speed ions can leave with at all.
/// Where the free path is short the first term counts, in thin gas the second.
/// @param length m, diffusion length of the space, above 0
/// @param diffusion m^2/s, ambipolar, above 0; @param exit_speed m/s, Bohm's, above 0
/// @throws InvalidParameter naming the one out of range
template <Real S>
[[nodiscard]] S decay_time(const S& length, const S& diffusion, const S& exit_speed) {
  Check{"afterglow"}
      .above("diffusion length", length, 0.0, "m")
      .above("diffusion", diffusion, 0.0, "m^2/s")
      .above("exit speed", exit_speed, 0.0, "m/s");
  return S(length * length / diffusion + length / exit_speed);
}

/// Diffusion length of the space between wide plates, m: gap / pi. @param gap m, above 0
template <Real S>
[[nodiscard]] S diffusion_length(const S& gap) {
  Check{"diffusion length"}.above("gap", gap, 0.0, "m");
  return S(gap / S(constants::pi));
}
/// Diffusion length of a cylinder, m (first zero of the Bessel function: 2.405). @param radius, height m, above 0
template <Real S>
[[nodiscard]] S diffusion_length(const S& radius, const S& height) {
  Check{"diffusion length"}.above("radius", radius, 0.0, "m").above("height", height, 0.0, "m");
  const S across = S(S(2.404825557695773) / radius), along = S(S(constants::pi) / height);
  return S(S(1) / math::sqrt(S(across * across + along * along)));
}

/// Density of a decaying plasma, dn/dt = -n / time_constant - recombination n^2, in closed form.
template <Real S>
struct Afterglow {
  S initial;        ///< 1/m^3, density at current zero, at least 0
  S time_constant;  ///< s, of loss to the walls, above 0; unlimited() for none
  S recombination;  ///< m^3/s, at least 0; 0 at thyratron pressures

  /// @throws InvalidParameter naming the field out of range
  void check() const {
    Check{"afterglow"}
        .at_least("initial", initial, 0.0, "1/m^3")
        .above("time_constant", time_constant, 0.0, "s")
        .at_least("recombination", recombination, 0.0, "m^3/s");
  }
  /// Density at a time after current zero, 1/m^3. @param time s, at least 0
  [[nodiscard]] S density(const S& time) const {
    Check{"afterglow"}.at_least("time", time, 0.0, "s");
    // Recombination acts as long as there is plasma: for the time itself at first, for the time constant in the end.
    const bool leaves = is_limited(time_constant);
    const S acting = leaves ? S(time_constant * detail::lost_share(S(time / time_constant))) : time;
    return S(initial * math::exp(S(-time / time_constant)) / (S(1) + recombination * initial * acting));
  }
  /// Time from current zero until the density has fallen to a level, s; 0 if it never was above, unlimited() for level
  /// 0.
  /// @param level 1/m^3, at least 0
  [[nodiscard]] S time_to(const S& level) const {
    Check{"afterglow"}.at_least("level", level, 0.0, "1/m^3");
    if (value_of(level) >= value_of(initial)) return S(0);
    if (!(value_of(level) > Plain<S>(0))) return unlimited<S>();
    const S excess = S((initial - level) / level), meeting = S(recombination * initial);
    if (is_limited(time_constant))
      return math::min(S(time_constant * detail::log_above_one(S(excess / (S(1) + meeting * time_constant)))),
                       unlimited<S>());
    return value_of(meeting) > Plain<S>(0) ? math::min(S(excess / meeting), unlimited<S>()) : unlimited<S>();
  }
};

}  // namespace gastube
