// SPDX-License-Identifier: MIT
#pragma once
/// Deionisation time as a question about the tube in its grid circuit, and the voltage it withstands meanwhile.
///
/// The time until a re-applied plate voltage is held is no constant of a tube: it depends on the current before, the
/// bias, the resistance in the grid lead and the voltage itself. The ions of the afterglow flow out through the grid
/// and lift it by their drop in the resistance, so that its control is weaker than the bias promises.

#include "gastube/gas/afterglow.hpp"
#include "gastube/tube/ignition/ignition.hpp"
#include "gastube/tube/recovery/recovery.hpp"

namespace gastube {

template <Real S>
struct HoldOffQuestion {
  S current;     ///< A, plate current that had lasted until extinction, at least 0
  S bias;        ///< V, grid supply against the cathode
  S resistance;  ///< ohm, in the grid lead, at least 0
  S plate;       ///< V, re-applied to the plate at once

  void check() const {
    Check{"hold-off"}
        .at_least("current", current, 0.0, "A")
        .finite("bias", bias, "V")
        .at_least("resistance", resistance, 0.0, "ohm")
        .finite("plate", plate, "V");
  }
};

/// A tube's laws as far as they matter for hold-off, under the rule by which a tube in a circuit fires: its control is
/// the share of the plate voltage above the floor that it holds, of what it would hold if recovered.
template <Real S, IgnitionLaw<S> Ignition, RecoveryLaw<S> Recovery>
  requires is_plain<S>
struct HoldOff {
  Ignition ignition;
  Recovery recovery;
  S ions_per_residual;        ///< A out of the grid at residual ionisation 1, at least 0
  S floor;                    ///< V, plate voltage at which an arc can just burn, above 0
  S critical_current = S(0);  ///< A out of the grid close to firing, at least 0

  void check() const {
    ignition.check();
    recovery.check();
    Check{"hold-off"}
        .at_least("ions_per_residual", ions_per_residual, 0.0, "A")
        .above("floor", floor, 0.0, "V")
        .at_least("critical_current", critical_current, 0.0, "A");
  }

  /// Time from extinction until the tube holds the re-applied plate voltage, s; unlimited() if its bias never does.
  /// This is the inverse of restrike_voltage.
  [[nodiscard]] S deionisation_time(const HoldOffQuestion<S>& asked) const {
    asked.check();
    const S start = residual_at_extinction(asked.current);
    if (holds(asked, start)) return S(0);
    if (!holds(asked, S(0))) return unlimited<S>();
    return time_between(asked, start, bisect(start, [&](S residual) { return holds(asked, residual); }));
  }
  /// Plate voltage that the tube withstands at a time after extinction, V: the floor at first, full hold-off in the
  /// end. The question's plate voltage has no say. @param time s, at least 0; @param highest V, end of the search
  [[nodiscard]] S restrike_voltage(const HoldOffQuestion<S>& asked, S time, S highest = S(1e5)) const {
    asked.check();
    Check{"hold-off"}.at_least("time", time, 0.0, "s");
    const S residual = residual_after(asked, time), grid = grid_voltage(asked, residual);
    const S full = critical_plate(ignition, grid, highest);
    return full > floor ? floor + recovery.control(residual, grid) * (full - floor) : full;
  }

  /// Residual ionisation right after a current that had lasted.
  [[nodiscard]] S residual_at_extinction(S current) const {
    const S decay = decay_while_lit<S>(recovery);
    return recovery.at_extinction(decay > S(0) ? recovery.source_lit(current) / decay : S(0));
  }
  /// Residual ionisation at a time after extinction.
  [[nodiscard]] S residual_after(const HoldOffQuestion<S>& asked, S time) const {
    const S start = residual_at_extinction(asked.current);
    return time > S(0) ? bisect(start, [&](S r) { return time_between(asked, start, r) >= time; }) : start;
  }
  /// Voltage of the grid itself, V: the supply's, and the drop of the ion current in the resistance.
  [[nodiscard]] S grid_voltage(const HoldOffQuestion<S>& asked, S residual) const {
    return asked.bias + asked.resistance * (critical_current + ions_per_residual * math::positive_part(residual));
  }

 private:
  // Each at the source that it has in its middle: good to 1e-5, but to a tenth where the lift just undoes the sheath.
  static constexpr int pieces = 128;

  [[nodiscard]] bool holds(const HoldOffQuestion<S>& asked, S residual) const {
    const S grid = grid_voltage(asked, residual);
    const S control = math::max(recovery.control(residual, grid), S(1e-6));
    const S above = math::positive_part(asked.plate - floor);
    return ignition.critical_grid(above > S(0) ? floor + above / control : asked.plate) >= grid;
  }
  // Greatest residual, of those up to `high` where it fails, for which a condition holds that holds below it.
  template <class Condition>
  [[nodiscard]] static S bisect(S high, Condition&& condition) {
    S low = S(0);
    for (int k = 0; k < 250 && high - low > S(2) * round_off<S> * high; ++k) {
      const S middle = low + (high - low) / S(2);
      (condition(middle) ? low : high) = middle;
    }
    return low;
  }
  // Time in which the residual falls, s. The grid moves as it does, and with it perhaps the rate.
  [[nodiscard]] S time_between(const HoldOffQuestion<S>& asked, S high, S low) const {
    if constexpr (requires { recovery.fall_time(high, low, high, low); })
      return recovery.fall_time(high, low, grid_voltage(asked, S(0)), asked.resistance * ions_per_residual);
    else
      return high > low ? by_pieces(asked, high, low) : S(0);
  }
  // The same for laws without a closed form: exact where the grid has no say in the rate.
  [[nodiscard]] S by_pieces(const HoldOffQuestion<S>& asked, S high, S low) const {
    const S decay = recovery.decay(), width = (high - low) / S(pieces);
    S sum = S(0);
    for (int k = 0; k < pieces && sum < unlimited<S>(); ++k) {
      const S bottom = low + S(k) * width;
      const S rate = decay * bottom - recovery.source_out(grid_voltage(asked, bottom + width / S(2)));
      if (!(rate > S(0))) return unlimited<S>();
      const S share = decay * width / rate;
      sum += share > S(0) ? detail::log_above_one(share) / decay : width / rate;
    }
    return math::min(sum, unlimited<S>());
  }
};

/// @param ions_per_residual A; @param floor V; see the fields
template <Real S, IgnitionLaw<S> Ignition, RecoveryLaw<S> Recovery>
[[nodiscard]] HoldOff<S, Ignition, Recovery> hold_off(const Ignition& ignition, const Recovery& recovery,
                                                      S ions_per_residual, S floor) {
  const HoldOff<S, Ignition, Recovery> result{ignition, recovery, ions_per_residual, floor};
  result.check();
  return result;
}

}  // namespace gastube
