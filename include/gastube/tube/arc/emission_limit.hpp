// SPDX-License-Identifier: MIT
#pragma once
/// What happens beyond the current the cathode can emit: the drop rises steeply, and the ions it throws at the cathode
/// destroy it.

#include "gastube/tube/arc/arc_drop.hpp"

namespace gastube {

/// How the cathode fares under the arc, mildest first.
enum class ArcCondition {
  normal,             ///< emission suffices, and the drop is below the disintegration voltage
  beyond_emission,    ///< more current than the cathode emits, at a drop it can stand
  cathode_destroyed,  ///< the drop exceeds the disintegration voltage
};

[[nodiscard]] constexpr const char* name(ArcCondition condition) {
  switch (condition) {
  case ArcCondition::normal: return "normal";
  case ArcCondition::beyond_emission: return "beyond emission";
  case ArcCondition::cathode_destroyed: return "cathode destroyed";
  }
  return "unknown";
}
/// What happens to the cathode, as a sentence for a report.
[[nodiscard]] constexpr const char* consequence(ArcCondition condition) {
  switch (condition) {
  case ArcCondition::normal: return "the cathode emits what the arc carries";
  case ArcCondition::beyond_emission:
    return "the arc carries more than the cathode emits: the drop rises, and with it the wear of the coating";
  case ArcCondition::cathode_destroyed:
    return "the drop exceeds the disintegration voltage: ions knock the coating off, and the cathode is lost in short "
           "time";
  }
  return "unknown";
}

/// Any arc law up to the cathode's emission; beyond it the drop rises by `slope` for each ampere too much.
/// That emission limits the arc and that a drop beyond some 20 to 25 V destroys an oxide cathode: A. W. Hull, Gen.
/// Electr. Rev. 32, 213 and 390 (1929), as cited in an abstract; the straight rise is an assumption of this library.
template <class Inner, Real S>
  requires ArcLaw<Inner, S>
struct EmissionLimitedDrop {
  Inner inner;       ///< up to the emission
  S emission;        ///< A the cathode emits, at least 0 (0: cold)
  S resistance;      ///< ohm, steep against the inner law's own slope, above 0
  S disintegration;  ///< V of drop, above 0: see arc/disintegration.hpp

  void check() const {
    inner.check();
    Check{"emission-limited drop"}
        .at_least("emission", emission, 0.0, "A")
        .above("resistance", resistance, 0.0, "ohm")
        .above("disintegration", disintegration, 0.0, "V");
  }
  [[nodiscard]] S voltage(const S& current) const {
    return S(inner.voltage(current) + resistance * math::positive_part(S(current - emission)));
  }
  /// dV/dI, ohm; at the emission itself that from below.
  [[nodiscard]] S slope(const S& current) const {
    const bool beyond = value_of(current) > value_of(emission);
    return S(inner.slope(current) + (beyond ? resistance : S(0)));
  }
  /// How the cathode fares at this current. A drop too high hurts at any current: that of a mercury tube lit too cold.
  [[nodiscard]] ArcCondition condition(const S& current) const {
    if (value_of(voltage(current)) > value_of(disintegration)) return ArcCondition::cathode_destroyed;
    return value_of(current) > value_of(emission) ? ArcCondition::beyond_emission : ArcCondition::normal;
  }
};
static_assert(ArcLaw<EmissionLimitedDrop<LinearDrop<double>, double>, double>);

}  // namespace gastube
