// SPDX-License-Identifier: MIT
#pragma once
// A lamp in series with a gas tube on alternating voltage, and three ways to have its grid fire it early or late.

#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/filament_lamp.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/circuit/transformer.hpp>

#include <algorithm>
#include <array>
#include <cstddef>
#include <numbers>

namespace gastube::examples {

/// A steady negative bias; an alternating voltage that lags by 2 atan(2 pi f R C) behind the plate's; a pulse.
enum class Way { bias, phase, pulse };
inline constexpr std::array dimmer_ways{Way::bias, Way::phase, Way::pulse};
[[nodiscard]] constexpr const char* name(Way way) {
  constexpr std::array names{"bias", "phase", "pulse"};
  return names[static_cast<std::size_t>(way)];
}

struct DimmerParts {
  double volts = 115, frequency = 50;  ///< V r.m.s., Hz
  FilamentRating<double> lamp{75, 0.25};
  double bias_range = 3;        ///< V, bias at the end of the knob's travel
  double grid_volts = 20;       ///< V r.m.s. of each half of the grid winding
  double capacitor = 0.1e-6;    ///< F, of the phase shifter
  double variable = 200e3;      ///< ohm of the phase shifter at the end of the travel; it grows with its square
  double grid_resistor = 47e3;  ///< ohm
};
enum DimmerNodes : Node {
  dimmer_cathode,
  dimmer_line,
  dimmer_plate,
  dimmer_grid,
  dimmer_control,  ///< before the grid resistor
  dimmer_upper,    ///< end of the grid winding in phase with the line; in phase control only
  dimmer_lower,    ///< the other
  dimmer_nodes
};

/// Degrees at which a pulse comes, for a share of the travel.
[[nodiscard]] constexpr double pulse_angle(double share) { return 10 + 165 * share; }

/// use(circuit): of each way the circuit has a type of its own. Its lamp is labelled "lamp", its tube by the way.
/// @param share of the knob's travel, 0 (bright) to 1
/// @param temperature of the filament at the start, as a share of the rated
template <class Tube, class Use>
auto with_dimmer(const DimmerParts& p, Way way, double share, double temperature, const Tube& type, Use&& use) {
  constexpr std::size_t plain = dimmer_upper;  // nodes without those of the phase shifter
  const SineSource<double> mains{dimmer_line, dimmer_cathode, {p.volts * std::numbers::sqrt2, p.frequency}};
  const auto lamp = named("lamp", FilamentLamp<double>{dimmer_line, dimmer_plate, p.lamp, temperature});
  const auto tube =
      named(name(way), wired(type, {.plate = dimmer_plate, .grid = dimmer_grid, .cathode = dimmer_cathode}));
  const Resistor stopper{dimmer_control, dimmer_grid, p.grid_resistor};
  if (way == Way::bias)
    return use(
        wire<plain>(mains, lamp, tube, stopper, DcSource{dimmer_control, dimmer_cathode, -share * p.bias_range}));
  if (way == Way::pulse) {
    const PulseWave<double> pulses{.low = -10,
                                   .high = 20,
                                   .delay = pulse_angle(share) / 360 / p.frequency,
                                   .width = 0.2e-3,
                                   .period = 1 / p.frequency};
    return use(wire<plain>(mains, lamp, tube, stopper, PulseSource<double>{dimmer_control, dimmer_cathode, pulses}));
  }
  const TappedSecondary<double> halves{dimmer_upper, dimmer_cathode, dimmer_lower, 2 * p.grid_volts / p.volts};
  return use(wire<dimmer_nodes>(mains, lamp, tube, stopper,
                                transformer(dimmer_line, dimmer_cathode, halves, {.magnetising_inductance = 20.0}),
                                Resistor{dimmer_upper, dimmer_control, std::max(share * share * p.variable, 100.0)},
                                Capacitor{dimmer_control, dimmer_lower, p.capacitor}));
}

}  // namespace gastube::examples
