// SPDX-License-Identifier: MIT
#pragma once
/// What the maker allows: absolute maxima, each to be kept by itself. `unlimited` where none is published.

#include "gastube/support/checked.hpp"
#include "gastube/support/math.hpp"

namespace gastube {

template <Real S>
struct Ratings {
  S peak_forward = unlimited<S>();            ///< V, plate
  S peak_inverse = unlimited<S>();            ///< V, plate
  S peak_current = unlimited<S>();            ///< A, cathode
  S average_current = unlimited<S>();         ///< A, cathode, over the averaging time
  S averaging_time = S(30);                   ///< s
  S fault_current = unlimited<S>();           ///< A
  S fault_time = S(Plain<S>(0.1));            ///< s
  S grid_negative_before = unlimited<S>();    ///< V below the cathode, before conduction
  S grid_negative_during = unlimited<S>();    ///< V below the cathode, during conduction
  S shield_negative_before = unlimited<S>();  ///< V below the cathode
  S shield_negative_during = unlimited<S>();  ///< V below the cathode
  S grid_current = unlimited<S>();            ///< A, average positive
  S grid_resistance = unlimited<S>();         ///< ohm, in the grid lead
  S heater_positive = unlimited<S>();         ///< V, heater above cathode
  S heater_negative = unlimited<S>();         ///< V, heater below cathode
  S heating_time = S(0);                      ///< s before conduction
  S ambient_low = S(-273);                    ///< degrees Celsius
  S ambient_high = unlimited<S>();            ///< degrees Celsius

  void check() const {
    Check{"ratings"}
        .above("peak_forward", peak_forward, 0.0, "V")
        .above("peak_inverse", peak_inverse, 0.0, "V")
        .above("peak_current", peak_current, 0.0, "A")
        .above("average_current", average_current, 0.0, "A")
        .above("averaging_time", averaging_time, 0.0, "s")
        .above("fault_current", fault_current, 0.0, "A")
        .above("fault_time", fault_time, 0.0, "s")
        .at_least("grid_negative_before", grid_negative_before, 0.0, "V")
        .at_least("grid_negative_during", grid_negative_during, 0.0, "V")
        .at_least("shield_negative_before", shield_negative_before, 0.0, "V")
        .at_least("shield_negative_during", shield_negative_during, 0.0, "V")
        .at_least("grid_current", grid_current, 0.0, "A")
        .above("grid_resistance", grid_resistance, 0.0, "ohm")
        .at_least("heater_positive", heater_positive, 0.0, "V")
        .at_least("heater_negative", heater_negative, 0.0, "V")
        .at_least("heating_time", heating_time, 0.0, "s")
        .at_least("ambient_low", ambient_low, -273.15, "degrees Celsius")
        .above("ambient_high", ambient_high, double(value_of(ambient_low)), "degrees Celsius");
  }
};

}  // namespace gastube
