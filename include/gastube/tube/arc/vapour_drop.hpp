// SPDX-License-Identifier: MIT
#pragma once
/// Arc drop in mercury vapour: it falls as the mercury warms and its vapour grows denser.

#include "gastube/gas/vapour.hpp"
#include "gastube/tube/arc/arc_drop.hpp"

namespace gastube {

/// Drop at zero current, less `per_fold` for each e-fold of pressure, plus resistance times current. The logarithm is a
/// suggestion of this library; the defaults are those of a hot-cathode mercury tube (15 V at 40 degrees Celsius, type
/// 866A, encyclopedic page; the fall with temperature is handbook knowledge, its amount of 4 V from 40 to 80 degrees a
/// weak recollection; 10 V is the lower limit that sheets of mercury tubes print, from memory).
template <Real S>
struct VapourDrop {
  static constexpr bool piecewise_linear = true;
  S pressure;                                    ///< Pa of vapour now, 1e-6 to 1e6
  S drop = S(15);                                ///< V at zero current and the reference pressure, above 0
  S resistance = S(0);                           ///< ohm, at least 0
  S per_fold = S(Plain<S>(1.5));                 ///< V for each e-fold of pressure, at least 0
  S reference_pressure = S(Plain<S>(0.855067));  ///< Pa, 1e-6 to 1e6; by default that at 40 degrees Celsius
  S least = S(10);                               ///< V at zero current, however hot, above 0

  /// @throws InvalidParameter
  void check() const {
    Check{"vapour drop"}
        .between("pressure", pressure, 1e-6, 1e6, "Pa")
        .above("drop", drop, 0.0, "V")
        .at_least("resistance", resistance, 0.0, "ohm")
        .at_least("per_fold", per_fold, 0.0, "V")
        .between("reference_pressure", reference_pressure, 1e-6, 1e6, "Pa")
        .above("least", least, 0.0, "V");
  }
  [[nodiscard]] S voltage(const S& current) const {
    return S(math::max(S(drop - per_fold * math::log(S(pressure / reference_pressure))), least) + resistance * current);
  }
  [[nodiscard]] S slope(const S&) const { return resistance; }
};
static_assert(ArcLaw<VapourDrop<double>, double>);

/// Drop with the defaults of a hot-cathode mercury tube. @param temperature K, of the condensed mercury, from the
/// freezing point to 750 K; for other constants set the fields. @throws InvalidParameter
template <Real S>
[[nodiscard]] VapourDrop<S> mercury_drop(const S& temperature) {
  VapourDrop<S> law{mercury_vapour::pressure(temperature)};
  law.check();
  return law;
}

}  // namespace gastube
