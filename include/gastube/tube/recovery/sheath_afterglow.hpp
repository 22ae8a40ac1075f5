// SPDX-License-Identifier: MIT
#pragma once
/// Recovery by an afterglow that dies away exponentially, under a grid that closes with its ion sheath.

#include "gastube/tube/recovery/recovery.hpp"

namespace gastube {

/// Exponential afterglow with a grid that regains control when its ion sheath fills the grid openings.
///
/// The ionisation follows the current with one time constant and dies away with it. The grid holds when n has fallen to
/// n_c = exp(-time / time_constant) (V_s / reference_bias)^1.5, V_s = volts of the grid below the plasma: the sheath is
/// thicker the more negative the grid (Child's law with the Bohm current). Hence a deionisation time that falls with
/// the logarithm of the bias and rises with that of the current. Two published pairs for small xenon tetrodes agree on
/// one time constant; the absolute densities do not follow from the sheath condition, so the law is empirical. L.
/// Malter and E. O. Johnson, "Studies of thyratron behavior", RCA Review 11 (1950), from memory. Valid for biases from
/// 10 V negative on; weaker bias is taken as `least_sheath`.
template <Real S>
struct SheathAfterglow {
  S time_constant;        ///< s, above 0
  S time;                 ///< s, deionisation time at reference bias and current, above 0
  S reference_current;    ///< A, above 0
  S reference_bias;       ///< V below the cathode, above 0
  S least_sheath = S(1);  ///< V, above 0

  void check() const {
    Check{"sheath afterglow"}
        .above("time_constant", time_constant, 0.0, "s")
        .above("time", time, 0.0, "s")
        .above("reference_current", reference_current, 0.0, "A")
        .above("reference_bias", reference_bias, 0.0, "V")
        .above("least_sheath", least_sheath, 0.0, "V");
  }
  [[nodiscard]] S source_lit(const S& current) const {
    return S(math::positive_part(current) / (reference_current * time_constant));
  }
  [[nodiscard]] S source_out(const S&) const { return S(0); }
  [[nodiscard]] S decay() const { return S(S(1) / time_constant); }
  [[nodiscard]] S at_extinction(const S& residual) const { return residual; }

  /// Residual ionisation below which a grid at this voltage holds; at least 1e-30, of which nothing is left in any
  /// tube.
  [[nodiscard]] S holding_level(const S& grid) const {
    const S sheath = math::max(S(-grid), least_sheath);
    const S level = S(math::exp(S(-time / time_constant)) * math::three_halves_power(S(sheath / reference_bias)));
    return math::max(level, S(1e-30));
  }
  [[nodiscard]] S control(const S& residual, const S& grid) const {
    return math::clamp(S(S(1) - residual / holding_level(grid)), S(0), S(1));
  }
  /// Positive until a grid at cathode potential has all but a thousandth of its control.
  [[nodiscard]] S left(const S& residual) const {
    return S(residual / (S(Plain<S>(1e-3)) * holding_level(S(0))) - S(1));
  }
  /// Time from extinction at `current` (which had lasted) until the grid holds, s; at least 0.
  [[nodiscard]] S deionisation_time(const S& current, const S& grid) const {
    const S start = S(current / reference_current);
    if (!(value_of(start) > Plain<S>(0))) return S(0);
    return math::positive_part(S(time_constant * math::log(S(start / holding_level(grid)))));
  }
};
static_assert(RecoveryLaw<SheathAfterglow<double>, double>);

}  // namespace gastube
