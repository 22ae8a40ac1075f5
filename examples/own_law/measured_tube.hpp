// SPDX-License-Identifier: MIT
#pragma once
// A tube with a law of its own: the catalogue's argon triode, but for its arc drop.

#include <gastube/catalogue/argon.hpp>

#include "levelling_drop.hpp"

namespace own_law {

/// The laws of a catalogued rare-gas tube with LevellingDrop for the arc.
template <Real S>
using MeasuredLaws =
    gastube::catalogue::HotCathodeLaws<S, gastube::KneedLine<S>, LevellingDrop<S>, gastube::SheathAfterglow<S>>;

template <Real S = double>
[[nodiscard]] gastube::Thyratron<MeasuredLaws<S>> measured_tube(const LevellingDrop<S>& drop) {
  const gastube::catalogue::TubeData& data = gastube::catalogue::data_884;
  auto laws = gastube::catalogue::laws_of<MeasuredLaws<S>>(data);
  laws.ignition = gastube::catalogue::kneed_line<S>(data);
  laws.arc.inner = drop;
  laws.recovery = gastube::catalogue::sheath_afterglow<S>(data);
  return gastube::Thyratron<MeasuredLaws<S>>(laws, "884 with its measured drop");
}

}  // namespace own_law
