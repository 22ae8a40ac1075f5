// SPDX-License-Identifier: MIT
#pragma once
/// The voltage between heater and cathode, which their thin insulation must stand, for a given heater supply.
///
/// Where the heater circuit is not tied to the cathode it can stand at a dangerous voltage: treat it as live.

#include "gastube/tube/ratings/ratings.hpp"

namespace gastube {

/// How the heater is supplied. Peaks are taken to meet, whatever their phases and frequencies.
template <Real S>
struct HeaterConnection {
  S heater;                  ///< V rms across the heater, at least 0
  S tap = S(Plain<S>(0.5));  ///< where the heater circuit is tied: 0 and 1 its ends, 0.5 the middle
  S offset = S(0);           ///< V dc of that point above the cathode
  S common = S(0);           ///< V rms of that point against the cathode, at least 0
  S crest = S(Plain<S>(1.4142135623730950488L));  ///< peak over rms of both: root 2 for sines, 1 for dc; at least 1

  /// @throws InvalidParameter
  void check() const {
    Check{"heater connection"}
        .at_least("heater", heater, 0.0, "V")
        .between("tap", tap, 0.0, 1.0, "")
        .finite("offset", offset, "V")
        .at_least("common", common, 0.0, "V")
        .at_least("crest", crest, 1.0, "");
  }
  /// V by which the worse end of the heater swings about the offset.
  [[nodiscard]] S swing() const { return S(crest * (common + heater * math::max(tap, S(S(1) - tap)))); }
  /// Peak V of the heater above the cathode, and below it; at least 0.
  [[nodiscard]] S positive() const { return math::positive_part(S(offset + swing())); }
  [[nodiscard]] S negative() const { return math::positive_part(S(swing() - offset)); }
};

/// What is left of the two ratings, V: negative where one is exceeded. Without a rating the margin is unlimited.
template <Real S>
struct HeaterMargin {
  S positive, negative;

  [[nodiscard]] bool kept() const { return value_of(positive) >= Plain<S>(0) && value_of(negative) >= Plain<S>(0); }
};

/// Compares a heater's connection with a tube's ratings. @throws InvalidParameter
template <Real S>
[[nodiscard]] HeaterMargin<S> heater_margin(const HeaterConnection<S>& connection, const Ratings<S>& ratings) {
  connection.check();
  const auto left = [](const S& limit, const S& peak) { return is_limited(limit) ? S(limit - peak) : unlimited<S>(); };
  return {left(ratings.heater_positive, connection.positive()), left(ratings.heater_negative, connection.negative())};
}

}  // namespace gastube
