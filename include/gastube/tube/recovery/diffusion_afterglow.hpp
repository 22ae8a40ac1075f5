// SPDX-License-Identifier: MIT
#pragma once
/// The afterglow from the gas: how fast its ions leave, and the two conditions under which the grid holds again.
///
/// (a) The sheaths must fill the grid's openings, (b) the ion current through the grid resistor must not lift the grid
/// above its critical voltage; the later of the two counts. L. Malter and E. O. Johnson, "Studies of thyratron
/// behavior", RCA Review 11 (1950), from memory; (b) also L. Malter and M. R. Boyd, Proc. IRE 39, 636 (1951).

#include "gastube/gas/afterglow.hpp"
#include "gastube/gas/sheath.hpp"
#include "gastube/gas/transport.hpp"
#include "gastube/tube/recovery/sheath_afterglow.hpp"

namespace gastube {

/// Plasma between grid and plate after current zero. Recombination has no time to act below 100 Pa and is left out.
template <Real S>
struct DyingPlasma {
  IonMobility ion;      ///< of transport::, the ion that carries the afterglow
  S pressure;           ///< Pa, above 0
  S temperature;        ///< K, of gas and ions, above 0
  S temperature_ratio;  ///< electron over ion temperature, above 0: 40 at first, 1 late
  S length;             ///< m, diffusion length of the space (gas/afterglow.hpp), above 0

  void check() const {
    Check{"dying plasma"}
        .above("pressure", pressure, 0.0, "Pa")
        .above("temperature", temperature, 0.0, "K")
        .above("temperature_ratio", temperature_ratio, 0.0, "")
        .above("length", length, 0.0, "m");
  }
  /// V (kT/e), of the electrons.
  [[nodiscard]] S electron_temperature() const { return electron_volts(S(temperature * temperature_ratio)); }
  /// In which the ions leave, s. @throws InvalidParameter naming the field out of range
  [[nodiscard]] S time_constant() const {
    check();
    return decay_time(length, ambipolar_diffusion(ion, pressure, temperature, temperature_ratio),
                      bohm_speed(electron_temperature(), S(ion.mass)));
  }
  /// Ion current to a grid, A. @param density 1/m^3, of the plasma, at least 0; @param area m^2, of the grid, at least
  /// 0
  [[nodiscard]] S ion_current(const S& density, const S& area) const {
    Check{"dying plasma"}.at_least("area", area, 0.0, "m^2");
    return S(area * bohm_current(density, electron_temperature(), S(ion.mass)));
  }
};

/// What a plasma must fall to, and from where.
template <Real S>
struct RecoveryConditions {
  S start;         ///< 1/m^3, density at current zero, at least 0; density_for_current() gives the least
  S half_opening;  ///< m, half the width of the grid's holes, above 0
  S grid_area;     ///< m^2, of the grid that collects ions, at least 0

  void check() const {
    Check{"recovery conditions"}
        .at_least("start", start, 0.0, "1/m^3")
        .above("half_opening", half_opening, 0.0, "m")
        .at_least("grid_area", grid_area, 0.0, "m^2");
  }
  /// (a) Time until the sheaths fill the openings, s. @param below V of the grid below the plasma; 0 or less never
  /// fills
  [[nodiscard]] S sheath_time(const DyingPlasma<S>& plasma, const S& below) const {
    return time_to(plasma, sheath_density(below, half_opening, plasma.electron_temperature()));
  }
  /// (b) Time until the drop in the grid resistor leaves the grid below critical, s.
  /// @param margin V of the grid supply below the critical voltage; none is never enough where there is resistance
  /// @param resistance ohm, in the grid lead, at least 0
  [[nodiscard]] S resistor_time(const DyingPlasma<S>& plasma, const S& margin, const S& resistance) const {
    Check{"grid circuit"}.finite("margin", margin, "V").at_least("resistance", resistance, 0.0, "ohm");
    if (value_of(margin) < Plain<S>(0)) return unlimited<S>();
    const S drop = S(resistance * plasma.ion_current(start, grid_area));
    if (value_of(drop) <= value_of(margin)) return S(0);
    return time_to(plasma, S(start * margin / drop));
  }
  /// Recovery time, s: the later of the two.
  /// @param below V of the grid below the plasma; @param margin V of the supply below critical
  [[nodiscard]] S time(const DyingPlasma<S>& plasma, const S& below, const S& margin, const S& resistance) const {
    return math::max(sheath_time(plasma, below), resistor_time(plasma, margin, resistance));
  }

 private:
  [[nodiscard]] S time_to(const DyingPlasma<S>& plasma, const S& density) const {
    check();
    return Afterglow<S>{start, plasma.time_constant(), S(0)}.time_to(density);
  }
};

/// The recommended recovery of a tube: the time constant comes from the gas, the absolute level from one measured time.
///
/// The level is stated in time constants, so that it carries over to another pressure, gas or space: sheath condition
/// and current set densities, and the gas only sets how soon they are reached. Heavier and denser gas is slower.
/// Densities worked out from the grid's geometry (RecoveryConditions) miss the measured level of small xenon tetrodes;
/// hence the measured one.
/// @param time_constants deionisation time at reference current and bias over the time constant, above 0
/// @param reference_current A, above 0; @param reference_bias V below the cathode, above 0
/// @throws InvalidParameter naming the field out of range
template <Real S>
[[nodiscard]] SheathAfterglow<S> diffusion_afterglow(const DyingPlasma<S>& plasma, const S& time_constants,
                                                     const S& reference_current, const S& reference_bias) {
  Check{"diffusion afterglow"}.above("time_constants", time_constants, 0.0, "");
  const S constant = plasma.time_constant();
  const SheathAfterglow<S> law{constant, S(time_constants * constant), reference_current, reference_bias};
  law.check();
  return law;
}

}  // namespace gastube
