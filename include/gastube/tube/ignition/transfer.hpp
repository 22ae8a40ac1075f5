// SPDX-License-Identifier: MIT
#pragma once
/// Trigger tubes: the small gap between trigger and cathode, and the transfer of its discharge to the main gap.

#include "gastube/tube/grid/grid_current.hpp"

namespace gastube {

/// Breakdown of the main gap while the trigger gap carries a current: V = floor + (untriggered - floor) exp(-I /
/// scale). A suggestion of this library; one published transfer current fixes the scale. Never rises with the trigger
/// current.
template <Real S>
struct TransferCurve {
  S untriggered;  ///< V, main gap's own breakdown without trigger current, above floor
  S floor;        ///< V, that no trigger current gets below: the maintaining voltage, above 0
  S scale;        ///< A, above 0

  void check() const {
    Check{"transfer"}
        .above("floor", floor, 0.0, "V")
        .above("untriggered", untriggered, double(value_of(floor)), "V")
        .above("scale", scale, 0.0, "A");
  }
  /// Anode voltage at which the main gap breaks down, V. @param trigger_current A; below 0 it counts as none
  [[nodiscard]] S breakdown(const S& trigger_current) const {
    const S passed = S(math::positive_part(trigger_current) / scale);
    if (value_of(passed) > Plain<S>(80)) return floor;  // the exponential is below every round-off
    return S(floor + (untriggered - floor) * math::exp(S(-passed)));
  }
  /// Trigger current that fires the main gap at this anode voltage, A: the inverse. 0 where the gap breaks down by
  /// itself, unlimited at the floor and below.
  [[nodiscard]] S current_needed(const S& anode) const {
    if (value_of(anode) >= value_of(untriggered)) return S(0);
    if (!(value_of(anode) > value_of(floor))) return unlimited<S>();
    return S(scale * math::log(S((untriggered - floor) / (anode - floor))));
  }
};

/// The curve through a published transfer current. @param transfer_current A, above 0, at `anode` V, between floor and
/// untriggered @throws InvalidParameter
template <Real S>
[[nodiscard]] TransferCurve<S> transfer_through(const S& untriggered, const S& floor, const S& transfer_current,
                                                const S& anode) {
  Check{"transfer"}
      .above("floor", floor, 0.0, "V")
      .above("anode", anode, double(value_of(floor)), "V")
      .above("untriggered", untriggered, double(value_of(anode)), "V")
      .above("transfer_current", transfer_current, 0.0, "A");
  return {untriggered, floor, S(transfer_current / math::log(S((untriggered - floor) / (anode - floor))))};
}

/// The trigger gap. Struck by a trigger positive against the cathode, it burns at its drop with (V - drop) / resistance
/// and goes out below its least current; a negative trigger only leaks. While the main gap conducts, the trigger is a
/// probe in its glow: driven above the drop it takes the same current, below it it collects ions.
template <Real S>
struct TriggerGap {
  S ignition;          ///< V, above floor()
  S drop;              ///< V, above 0
  S resistance;        ///< ohm, above 0
  S least_current;     ///< A, above 0
  S leakage = S(0);    ///< S, at least 0
  S ion_share = S(0);  ///< A to a trigger below the drop, per A of main current, at least 0

  void check() const {
    Check{"trigger gap"}
        .above("drop", drop, 0.0, "V")
        .above("resistance", resistance, 0.0, "ohm")
        .above("least_current", least_current, 0.0, "A")
        .above("ignition", ignition, double(value_of(floor())), "V")
        .at_least("leakage", leakage, 0.0, "S")
        .at_least("ion_share", ion_share, 0.0, "A/A");
  }
  /// V at which a gap full of ions strikes: a volt above what the least current needs.
  [[nodiscard]] S floor() const { return S(drop + resistance * least_current + S(1)); }
  /// V at which it strikes with this share of its strength back after the last discharge. @param control 0 to 1
  [[nodiscard]] S strikes_at(const S& control) const { return S(floor() + control * (ignition - floor())); }
  /// A of the burning gap.
  [[nodiscard]] S current(const S& trigger) const { return S(math::positive_part(S(trigger - drop)) / resistance); }

  [[nodiscard]] GridPaths<S> dark(const Conditions<S>& at) const {
    GridPaths<S> paths;
    paths.to_cathode = S(leakage * at.grid);
    paths.to_cathode_by_grid = leakage;
    return paths;
  }
  [[nodiscard]] GridPaths<S> burning(const Conditions<S>& at) const {
    GridPaths<S> paths = dark(at);
    paths.to_cathode += current(at.grid);
    if (value_of(at.grid) > value_of(drop)) paths.to_cathode_by_grid += S(1) / resistance;
    return paths;
  }
  /// While the main gap conducts; the ion current fades out over the last volt below the drop.
  [[nodiscard]] GridPaths<S> lit(const Conditions<S>& at, const S& main_current) const {
    GridPaths<S> paths = burning(at);
    const S below = S(drop - at.grid), full = S(ion_share * math::positive_part(main_current));
    const S reached = math::clamp(below, S(0), S(1));
    const bool fading = value_of(below) >= Plain<S>(0) && value_of(below) <= Plain<S>(1);
    paths.from_plate = S(full * reached);
    paths.from_plate_by_grid = fading ? S(-full) : S(0);
    paths.from_plate_by_plate_current = value_of(main_current) > Plain<S>(0) ? S(ion_share * reached) : S(0);
    return paths;
  }
};

}  // namespace gastube
