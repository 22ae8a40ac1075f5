// SPDX-License-Identifier: MIT
#pragma once
/// Every tube of the catalogue.

#include "gastube/catalogue/argon.hpp"
#include "gastube/catalogue/glow.hpp"
#include "gastube/catalogue/hydrogen.hpp"
#include "gastube/catalogue/mercury.hpp"
#include "gastube/catalogue/trigger.hpp"
#include "gastube/catalogue/xenon.hpp"

namespace gastube::catalogue {

/// Calls f(data) for the data of every tube, family by family; `data` is of the family's own type.
template <class Function>
constexpr void for_each_tube(Function&& f) {
  for (const TubeData& data : xenon_tubes) f(data);
  for (const TubeData& data : argon_tubes) f(data);
  for (const MercuryData& data : mercury_tubes) f(data);
  for (const HydrogenData& data : hydrogen_tubes) f(data);
  for (const TriggerData& data : trigger_tubes) f(data);
  for (const GlowData& data : glow_lamps) f(data);
  for (const GlowData& data : stabilisers) f(data);
}

}  // namespace gastube::catalogue
