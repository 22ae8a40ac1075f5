// SPDX-License-Identifier: MIT
#pragma once
/// How a cold-cathode gap wins back its strike voltage after the discharge.

#include "gastube/tube/recovery/recovery.hpp"

namespace gastube {

/// The ions and metastables left lower the strike voltage in proportion, and die away exponentially: the gap strikes at
/// floor + control (full - floor), where control is 1 less the residual, and the floor is the voltage at which the glow
/// can just burn. While lit the residual follows the current, up to 1 at the reference current. Fills of 20 to 100 Torr
/// recover with 0.1 to 1 ms, from memory.
template <Real S>
struct StrikeRecovery {
  static constexpr ControlForm control_form = ControlForm::straight;
  S time_constant;                    ///< s, above 0
  S reference_current;                ///< A, from which on the strike voltage is at its floor, above 0
  S negligible = S(Plain<S>(1e-3L));  ///< residual below which the gap counts as recovered, above 0, below 1

  void check() const {
    Check{"strike recovery"}
        .above("time_constant", time_constant, 0.0, "s")
        .above("reference_current", reference_current, 0.0, "A")
        .above("negligible", negligible, 0.0, "")
        .that(value_of(negligible) < Plain<S>(1), "negligible", negligible, "", "below 1");
  }
  [[nodiscard]] S source_lit(const S& current) const {
    return S(math::clamp(S(current / reference_current), S(0), S(1)) / time_constant);
  }
  [[nodiscard]] S source_out(const S&) const { return S(0); }
  [[nodiscard]] S decay() const { return S(S(1) / time_constant); }
  [[nodiscard]] S at_extinction(const S& residual) const { return residual; }
  /// Share of the strike voltage above its floor that the gap has back; no electrode has a say in it.
  [[nodiscard]] S control(const S& residual, const S&) const { return math::clamp(S(S(1) - residual), S(0), S(1)); }
  [[nodiscard]] S left(const S& residual) const { return S(residual - negligible); }

  /// s after conduction at the reference current until `share` of the strike voltage above its floor is back.
  /// @param share 0 to below 1 @throws InvalidParameter
  [[nodiscard]] S time_to(const S& share) const { return S(time_constant * times(share)); }
  /// Time constants for that share.
  [[nodiscard]] static S times(const S& share) {
    Check{"strike recovery"}
        .at_least("share", share, 0.0, "")
        .that(value_of(share) < Plain<S>(1), "share", share, "", "below 1");
    return S(-math::log(S(S(1) - share)));
  }
};
static_assert(RecoveryLaw<StrikeRecovery<double>, double>);

/// The law from a published deionisation time: s after conduction at `reference_current` until the gap holds `held`.
/// @param held V, above the floor and below the full strike voltage; @param floor V; @param full V
/// @throws InvalidParameter
template <Real S>
[[nodiscard]] StrikeRecovery<S> recovery_to(const S& time, const S& held, const S& floor, const S& full,
                                            const S& reference_current) {
  Check{"strike recovery"}
      .above("time", time, 0.0, "s")
      .above("held", held, double(value_of(floor)), "V")
      .above("full", full, double(value_of(held)), "V");
  return {S(time / StrikeRecovery<S>::times(S((held - floor) / (full - floor)))), reference_current};
}

}  // namespace gastube
