// SPDX-License-Identifier: MIT
#pragma once
// A law from outside the library: an arc drop that rises with the current and levels off. It is one header; nothing in
// the library knows of it.

#include <gastube/tube/arc/arc_drop.hpp>

namespace own_law {

using gastube::Check, gastube::Plain, gastube::Real, gastube::value_of;

/// V = least + swing I / (I + knee). Negative currents count as none.
template <Real S>
struct LevellingDrop {
  S least;  ///< V at no current, above 0
  S swing;  ///< V more at a great current, at least 0
  S knee;   ///< A at which half of that is reached, above 0

  void check() const {
    Check{"levelling drop"}
        .above("least", least, 0.0, "V")
        .at_least("swing", swing, 0.0, "V")
        .above("knee", knee, 0.0, "A");
  }
  [[nodiscard]] S voltage(const S& current) const {
    const S i = gastube::math::positive_part(current);
    return S(least + swing * (i / (i + knee)));
  }
  /// dV/dI, ohm.
  [[nodiscard]] S slope(const S& current) const {
    if (!(value_of(current) > Plain<S>(0))) return S(0);
    return S(swing / (current + knee) * (knee / (current + knee)));
  }
};
static_assert(gastube::ArcLaw<LevellingDrop<double>, double>);

}  // namespace own_law
