// SPDX-License-Identifier: MIT
#pragma once
/// The textbook law of recovery: what the arc leaves dies away exponentially, and control comes back as it goes.

#include "gastube/tube/recovery/recovery.hpp"

namespace gastube {

/// Residual `start` at extinction, whatever the current was; from then on it decays with the time constant, and
/// control is 1 less the residual. Whether the residual counts the ions themselves or the hold-off they take away is
/// left open; measured tubes depend on the current before and on the grid (see SheathAfterglow), so this is a law for
/// textbook circuits and first looks. With a start below 1 a share of the hold-off is there at once.
template <Real S>
struct ExponentialRecovery {
  static constexpr ControlForm control_form = ControlForm::straight;
  static constexpr bool follows_straight = true;
  S time_constant;                    ///< s, above 0
  S start = S(1);                     ///< residual at extinction, above `negligible`, to 1
  S negligible = S(Plain<S>(1e-3L));  ///< residual below which the tube counts as recovered, above 0

  /// @throws InvalidParameter
  void check() const {
    Check{"exponential recovery"}
        .above("time_constant", time_constant, 0.0, "s")
        .above("negligible", negligible, 0.0, "")
        .above("start", start, double(value_of(negligible)), "")
        .at_most("start", start, 1.0, "");
  }
  [[nodiscard]] S source_lit(const S&) const { return S(0); }
  [[nodiscard]] S source_out(const S&) const { return S(0); }
  [[nodiscard]] S decay() const { return S(S(1) / time_constant); }
  [[nodiscard]] S at_extinction(const S&) const { return start; }
  [[nodiscard]] S control(const S& residual, const S&) const { return math::clamp(S(S(1) - residual), S(0), S(1)); }
  /// Positive until the tube counts as recovered.
  [[nodiscard]] S left(const S& residual) const { return S(residual - negligible); }

  /// s after extinction until `share` of the hold-off above its floor is back: 0 if it is there at once.
  /// @param share 0 to below 1 @throws InvalidParameter
  [[nodiscard]] S time_to(const S& share) const {
    Check{"exponential recovery"}
        .at_least("share", share, 0.0, "")
        .that(value_of(share) < Plain<S>(1), "share", share, "", "below 1");
    return math::positive_part(S(time_constant * math::log(S(start / (S(1) - share)))));
  }
};
static_assert(RecoveryLaw<ExponentialRecovery<double>, double>);

}  // namespace gastube
