// SPDX-License-Identifier: MIT
#pragma once
/// Will it hold: available current against sustaining current.

#include "gastube/support/checked.hpp"
#include "gastube/support/math.hpp"

namespace gastube::design {

/// A straight load line: supply and resistance in series with the tube.
template <Real S>
struct HoldAnswer {
  S available;            ///< A with the arc burning
  S demand;               ///< A, sustaining current
  S margin;               ///< A, available - demand; negative: it goes out
  S greatest_resistance;  ///< ohm in series that still holds
  S let_go_supply;        ///< V, supply at which a lit tube goes out
};

/// @param supply V; @param arc_drop V; @param resistance ohm, above 0; @param sustaining A, at least 0
/// @throws InvalidParameter
template <Real S>
[[nodiscard]] HoldAnswer<S> holding(const S& supply, const S& arc_drop, const S& resistance, const S& sustaining) {
  Check{"holding"}
      .finite("supply", supply, "V")
      .above("arc_drop", arc_drop, 0.0, "V")
      .above("resistance", resistance, 0.0, "ohm")
      .at_least("sustaining", sustaining, 0.0, "A");
  HoldAnswer<S> answer;
  answer.available = S((supply - arc_drop) / resistance);
  answer.demand = sustaining;
  answer.margin = S(answer.available - sustaining);
  answer.greatest_resistance =
      value_of(sustaining) > Plain<S>(0) ? S((supply - arc_drop) / sustaining) : unlimited<S>();
  answer.let_go_supply = S(arc_drop + sustaining * resistance);
  return answer;
}

}  // namespace gastube::design
