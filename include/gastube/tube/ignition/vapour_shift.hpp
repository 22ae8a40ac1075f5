// SPDX-License-Identifier: MIT
#pragma once
/// Ignition of a tube filled with mercury vapour: the firing line moves with the pressure, and so with the coldest
/// place of the bulb.
///
/// Mercury is poisonous: a tube that holds it is not to be opened, and a broken one calls for ventilation and the local
/// rules for clearing it up.

#include "gastube/gas/vapour.hpp"
#include "gastube/tube/ignition/ignition.hpp"

namespace gastube {

/// A firing line stated at one pressure, at another pressure: denser vapour ionises more easily, and the critical grid
/// voltage falls. Each electron meets p/p0 times as many atoms, so that the knee's lift falls with the 2/3 power, as it
/// rises with the voltage missing; the line itself moves by `shift_per_fold` volts for each e-fold of pressure.
/// That the grid must be the more negative the hotter the mercury is handbook knowledge, from memory; the form is a
/// suggestion derived for this library, and the shift per fold is to be read from a tube's published lines.
template <Real S>
struct VapourIgnition {
  KneedLine<S> reference;  ///< at the reference pressure
  S reference_pressure;    ///< Pa, 1e-6 to 1e6
  S pressure;              ///< Pa, now, 1e-6 to 1e6: vapour and any buffer gas together
  S shift_per_fold;        ///< V of grid for each e-fold of pressure, at least 0

  /// @throws InvalidParameter naming law and field
  void check() const {
    reference.check();
    Check{"vapour ignition"}
        .between("reference_pressure", reference_pressure, 1e-6, 1e6, "Pa")
        .between("pressure", pressure, 1e-6, 1e6, "Pa")
        .at_least("shift_per_fold", shift_per_fold, 0.0, "V");
  }
  /// The firing line as it stands at the present pressure.
  [[nodiscard]] KneedLine<S> present() const {
    const S folds = math::log(S(pressure / reference_pressure));
    const S thinned = math::exp(S(S(Plain<S>(-2) / Plain<S>(3)) * folds));
    KneedLine<S> line = reference;
    line.line.intercept = S(reference.line.intercept - shift_per_fold * folds);
    line.knee.rise = S(reference.knee.rise * thinned);
    return line;
  }
  /// Grid voltage at which the tube just fires, V; at most never_fires.
  [[nodiscard]] S critical_grid(const S& plate) const { return present().critical_grid(plate); }
};
static_assert(IgnitionLaw<VapourIgnition<double>, double>);

/// Firing line of a mercury tube by the temperature of its condensed mercury.
/// @param reference  the line at the reference temperature
/// @param reference_temperature, temperature  K, of the condensed mercury, from the freezing point to 750
/// @param shift_per_fold  V of grid for each e-fold of pressure, at least 0
/// @param buffer  Pa, of a rare gas put in so that the tube starts cold (mercury-argon), at least 0, counted in both
/// @throws InvalidParameter
template <Real S>
[[nodiscard]] VapourIgnition<S> mercury_ignition(const KneedLine<S>& reference, const S& reference_temperature,
                                                 const S& temperature, const S& shift_per_fold,
                                                 const S& buffer = S(0)) {
  Check{"vapour ignition"}.at_least("buffer", buffer, 0.0, "Pa");
  const VapourIgnition<S> law{reference, S(mercury_vapour::pressure(reference_temperature) + buffer),
                              S(mercury_vapour::pressure(temperature) + buffer), shift_per_fold};
  law.check();
  return law;
}

}  // namespace gastube
