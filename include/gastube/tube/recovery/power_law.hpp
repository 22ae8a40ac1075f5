// SPDX-License-Identifier: MIT
#pragma once
/// Recovery by the oldest published formula: a power of the current over a power of the grid's voltage.

#include "gastube/tube/recovery/recovery.hpp"

namespace gastube {

/// A. W. Hull's deionisation time, t = 0.0012 p I^0.7 / (e^1.5 x), p in microbar, x (grid to plate) in cm, e the volts
/// of the grid below the plasma around it: "Hot-cathode thyratrons", General Electric Review 32, 213 and 390 (1929),
/// formula from memory. Whether p is in microbar or in the 25 % smaller mTorr cannot be told from how plausible the
/// times come out; microbar is taken here.
///
/// For a bias that varies the formula is read as work: t e^1.5 is what clearing the space takes, and a grid at e does
/// e^1.5 of it each second. The residual is the current while lit, as a share of the reference current, then the work
/// left, as a share of that after the reference current. The grid has no control until the work is done, then all.
///
/// Valid within a factor of 2 for mercury and heavy rare gases at thyratron pressures (1 to 50 Pa), a negative grid,
/// and little grid resistance. It grows without limit towards the plasma potential, where `least_sheath` holds it. Its
/// bias dependence is far too steep for small xenon tetrodes: use SheathAfterglow for them.
template <Real S>
struct PowerLawRecovery {
  S pressure;             ///< Pa, above 0
  S gap;                  ///< m, grid to plate, above 0
  S plasma;               ///< V of the plasma against the cathode, at least 0; about the arc drop
  S reference_current;    ///< A, current of residual 1, above 0
  S smoothing;            ///< s, in which the residual follows the current: short beside its changes, above 0
  S least_sheath = S(1);  ///< V, above 0

  void check() const {
    Check{"power-law recovery"}
        .above("pressure", pressure, 0.0, "Pa")
        .above("gap", gap, 0.0, "m")
        .at_least("plasma", plasma, 0.0, "V")
        .above("reference_current", reference_current, 0.0, "A")
        .above("smoothing", smoothing, 0.0, "s")
        .above("least_sheath", least_sheath, 0.0, "V");
  }
  [[nodiscard]] S source_lit(const S& current) const {
    return S(math::positive_part(current) / (reference_current * smoothing));
  }
  [[nodiscard]] S decay_lit() const { return S(S(1) / smoothing); }
  /// @param grid V against the cathode
  [[nodiscard]] S source_out(const S& grid) const {
    return S(-math::three_halves_power(sheath(grid)) / work(reference_current));
  }
  [[nodiscard]] S decay() const { return S(0); }
  [[nodiscard]] S at_extinction(const S& residual) const { return to_the_seventh_tenth(residual); }
  [[nodiscard]] S control(const S& residual, const S&) const { return S(value_of(residual) > Plain<S>(0) ? 0 : 1); }
  [[nodiscard]] S left(const S& residual) const { return residual; }

  /// Volts of the grid below the plasma, V, at least `least_sheath`.
  [[nodiscard]] S sheath(const S& grid) const { return math::max(S(plasma - grid), least_sheath); }
  /// Work after a current, s V^1.5. @param current A, just before extinction; none leaves none
  [[nodiscard]] S work(const S& current) const {
    constexpr Plain<S> microbar_cm = Plain<S>(12) / Plain<S>(100000);  // 0.0012 with p in Pa and x in m
    return S(S(microbar_cm) * pressure / gap * to_the_seventh_tenth(current));
  }
  /// Hull's formula, s. @param current A, just before extinction; @param grid V against the cathode, steady
  [[nodiscard]] S deionisation_time(const S& current, const S& grid) const {
    return S(work(current) / math::three_halves_power(sheath(grid)));
  }
  /// Time in which the residual falls after extinction while its ions lift the grid to `grid` + `lift` * residual, s,
  /// in closed form. @param high, low residuals, high at least low; @param grid V, without ions; @param lift V, at
  /// least 0
  [[nodiscard]] S fall_time(const S& high, const S& low, const S& grid, const S& lift) const {
    const S below = S(plasma - grid), room = S(below - least_sheath);
    const bool clamped_above = value_of(lift) * value_of(high) > value_of(room);
    const S edge = clamped_above ? math::max(S(room / lift), low) : high;  // the sheath is the least one above this
    const S clamped = S((high - edge) / math::three_halves_power(least_sheath));
    if (!(value_of(edge) > value_of(low))) return S(work(reference_current) * clamped);
    const S least = math::sqrt(S(below - lift * edge)), most = math::sqrt(S(below - lift * low));
    const S freely = S(S(2) * (edge - low) / (least * most * (least + most)));  // integral of 1 / sheath^1.5
    return S(work(reference_current) * (clamped + freely));
  }

 private:
  // The slope of the power has no limit at 0: none there.
  [[nodiscard]] static S to_the_seventh_tenth(const S& x) {
    if (!(value_of(x) > Plain<S>(0))) return S(0);
    return math::pow(x, Plain<S>(7) / Plain<S>(10));
  }
};
static_assert(RecoveryLaw<PowerLawRecovery<double>, double>);

}  // namespace gastube
