// SPDX-License-Identifier: MIT
#pragma once
// How long the tube that goes out is held off in a ring of tubes, for the two ways of coupling their cathodes.

#include <cstddef>

namespace gastube::examples {

/// Cathodes loaded by R each, coupled by C each to one floating node. With V the voltage of the lit cathode, the old
/// cathode is thrown to 2 V and comes back as V (N exp(-N t / RC) + (N - 2) exp(-t / RC)) / (N - 1).
/// @param tubes at least 2 @return in units of RC, until the old cathode is back at V
[[nodiscard]] double star_ring_hold_off(std::size_t tubes);

/// Plates on one common resistor, R parallel C in each cathode. The new cathode rises towards V with the time constant
/// (R || common resistor) C, the old one falls from V with RC; it is held off until they meet.
/// @param ratio common plate resistor over cathode resistor, above 0 @return in units of RC
[[nodiscard]] double common_plate_ring_hold_off(double ratio);

}  // namespace gastube::examples
