// SPDX-License-Identifier: MIT
#pragma once
/// What the plate's steps and slopes do to the grid through the capacitance between them: the way in which a surge on
/// the supply, or a plate voltage re-applied too fast, fires a tube that its bias would hold.

#include "gastube/gas/afterglow.hpp"
#include "gastube/support/root.hpp"
#include "gastube/tube/grid/capacitances.hpp"

namespace gastube {

/// A grid behind a resistance, coupled to the plate. Voltages are changes from rest; the grid draws no current, as it
/// does not while it is negative.
template <Real S>
struct GridPickUp {
  S coupling;    ///< F, plate to grid, at least 0
  S total;       ///< F, all that hangs on the grid, the coupling included, above 0
  S resistance;  ///< ohm, in the grid lead, above 0

  void check() const {
    Check{"grid pick-up"}
        .at_least("coupling", coupling, 0.0, "F")
        .above("total", total, 0.0, "F")
        .that(value_of(total) >= value_of(coupling), "total", total, "F", "at least the coupling")
        .above("resistance", resistance, 0.0, "ohm");
  }
  /// s, in which the resistance brings the grid back.
  [[nodiscard]] S time_constant() const { return S(resistance * total); }
  /// Grid voltage right after a step of the plate that is fast beside the time constant, V: the capacitances divide it.
  /// @param height V
  [[nodiscard]] S step(const S& height) const { return S(height * (coupling / total)); }
  /// Grid voltage a time into a steady rise of the plate, V, R C_gp (dV/dt) (1 - exp(-t / R C)): at first the divider's
  /// share of the rise, in the end the charging current of the coupling through the resistance.
  /// @param rate V/s, of the plate; @param time s, at least 0
  [[nodiscard]] S ramp(const S& rate, const S& time) const { return S(rate * resistance * coupling * risen(time)); }
  /// Grid voltage at the end of a steady rise by `height`, V, which is its peak. @param rate V/s, above 0
  [[nodiscard]] S ramp_to(const S& rate, const S& height) const { return ramp(rate, S(height / rate)); }

  /// Least rate of a plate rise of this duration that lifts the grid by `overdrive`, V/s: what fires the tube, if the
  /// overdrive is what the bias lacks to the critical voltage. unlimited() without coupling.
  /// @param overdrive V, at least 0; @param duration s, above 0; unlimited() for a rise that goes on
  [[nodiscard]] S least_rate(const S& overdrive, const S& duration) const {
    Check{"grid pick-up"}.at_least("overdrive", overdrive, 0.0, "V").above("duration", duration, 0.0, "s");
    const S lift = S(resistance * coupling * risen(duration));
    return value_of(lift) > Plain<S>(0) ? S(overdrive / lift) : unlimited<S>();
  }
  /// The same for a rise by a given height, V/s; unlimited() if even a step of that height does not do.
  /// @param overdrive V, above 0; @param height V, above 0
  [[nodiscard]] S least_rate_to(const S& overdrive, const S& height) const requires is_plain<S> {
    Check{"grid pick-up"}.above("overdrive", overdrive, 0.0, "V").above("height", height, 0.0, "V");
    const S share = overdrive / step(height);
    if (!(share < S(1))) return unlimited<S>();
    // In time constants the rise may last u with (1 - exp(-u)) / u = share; the left side is below 1 / u.
    const S lasts = find_root([&](S u) { return u > S(0) ? detail::lost_share(u) / u - share : S(1) - share; }, S(0),
                              S(S(1) / share), S(0));
    return height / (lasts * time_constant());
  }

 private:
  /// Share of the final lift that is there after a time.
  [[nodiscard]] S risen(const S& time) const {
    Check{"grid pick-up"}.at_least("time", time, 0.0, "s");
    return detail::lost_share(S(time / time_constant()));
  }
};

/// Pick-up of a tube's grid. @param stray F, of wiring from grid to cathode, at least 0; @param resistance ohm, above 0
/// @throws InvalidParameter naming the field out of range
template <Real S>
[[nodiscard]] GridPickUp<S> pick_up(const TubeCapacitances<S>& tube, ShieldTie tie, const S& stray,
                                    const S& resistance) {
  tube.check();
  Check{"grid pick-up"}.at_least("stray", stray, 0.0, "F");
  const GridPickUp<S> result{tube.effective_grid_plate(tie), S(tube.effective_grid(tie) + stray), resistance};
  result.check();
  return result;
}

}  // namespace gastube
