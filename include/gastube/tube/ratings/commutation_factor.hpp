// SPDX-License-Identifier: MIT
#pragma once
/// How hard a tube is treated when its current ends: ions left over from a current that fell quickly are shot into the
/// electrodes by an inverse voltage that rises quickly, and take the gas with them.

#include "gastube/support/checked.hpp"
#include "gastube/support/math.hpp"

namespace gastube {

/// V A/s^2 in one volt per microsecond times one ampere per microsecond, the unit in which factors are published.
inline constexpr double per_square_microsecond = 1e12;

/// The end of one conduction period. Commutation factor: fall of current times rise of inverse voltage (abstract of a
/// society paper on a gas-filled tube of the 400 A class; there in A/us times V/us).
template <Real S>
struct CurrentEnd {
  S current_fall;  ///< A/s, just before the current reaches zero, at least 0
  S voltage_rise;  ///< V/s, of the inverse voltage just after, at least 0

  /// @throws InvalidParameter
  void check() const {
    Check{"end of current"}
        .at_least("current_fall", current_fall, 0.0, "A/s")
        .at_least("voltage_rise", voltage_rise, 0.0, "V/s");
  }
  /// V A/s^2.
  [[nodiscard]] S commutation_factor() const { return S(current_fall * voltage_rise); }
  /// A/us times V/us.
  [[nodiscard]] S published_factor() const {
    return S(current_fall * S(Plain<S>(1e-6)) * (voltage_rise * S(Plain<S>(1e-6))));
  }
};

/// The rating.
template <Real S>
struct CommutationRating {
  S factor = unlimited<S>();  ///< V A/s^2, above 0

  void check() const { Check{"commutation rating"}.above("factor", factor, 0.0, "V A/s^2"); }
  /// Share of the rating used, above 1: exceeded; 0 where none is published.
  [[nodiscard]] S use(const CurrentEnd<S>& end) const {
    return is_limited(factor) ? S(end.commutation_factor() / factor) : S(0);
  }
  /// Greatest rise of the inverse voltage, V/s, after a current that fell like this (a snubber's task).
  [[nodiscard]] S greatest_voltage_rise(const S& current_fall) const {
    if (!is_limited(factor) || !(value_of(current_fall) > Plain<S>(0))) return unlimited<S>();
    return math::min(S(factor / current_fall), unlimited<S>());
  }
};

}  // namespace gastube
