// SPDX-License-Identifier: MIT
#pragma once
/// The values of problems P1 to P5, invented for this comparison. Every method takes them from here.
///
/// The tube: blocked it conducts `leak`, lit it drops `drop` and has `ohms`. It strikes as the voltage across it rises
/// through floor + (strike - floor)(1 - q); it goes out as its current falls through `holding`. q, the residual
/// ionisation, is `first_ions` at extinction, which keeps the lowered striking voltage 1 V above the drop, and falls
/// with `ion_time`.

#include <cstddef>

namespace compare {

struct TubeValues {
  double drop;         ///< V
  double ohms;         ///< ohm
  double holding;      ///< A
  double first_ions;   ///< q at extinction
  double leak = 1e-9;  ///< S
};
inline constexpr double ion_time = 30e-6;  // s

/// High for `width` from delay + k period on, k = 0, 1, ...; s.
struct PulseTrain {
  double delay, period, width;
};

/// P1: relaxation oscillator. The supply charges a capacitor through a resistor, the tube discharges it.
struct Oscillator {
  double supply = 250, series = 100e3, farads = 10e-9, strike = 100, end = 1;
  TubeValues tube{16, 50, 5e-3, 1 - 17.0 / 100};
};

/// P2: half-wave rectifier. Sine source, resistor, tube, and a load with a reservoir.
struct Rectifier {
  double peak = 34, frequency = 50, series = 5, load = 100, farads = 100e-6, strike = 10, end = 1;
  TubeValues tube{8, 5, 1e-3, 1 - 9.0 / 10};
};

/// A grid at `rest`, pulsed to 0 through a lag: striking voltage = strike - gain * grid voltage.
struct GridValues {
  double rest = -5, lag = 10e-6, gain = 10, strike = 20;
};

/// P3: flip-flop of two tubes whose plates are coupled by a capacitor; P3s with strays from the plates to ground.
struct FlipFlop {
  double supply = 48, plate = 500, coupling = 0.5e-6, stray = 0, end = 1;
  GridValues grid{};
  TubeValues tube{8, 5, 1e-3, 1 - 9.0 / 70};
  [[nodiscard]] constexpr PulseTrain pulses(int which) const { return {0.1e-3 + 1e-3 * which, 2e-3, 50e-6}; }
};
inline constexpr FlipFlop flip_flop{};
inline constexpr FlipFlop stray_flip_flop{48, 500, 0.5e-6, 50e-12, 0.1};

/// P4: lamp latch. The supply, through a lag, feeds a resistor, the tube and a filament in series.
///   heat_time dx/dt = i^2 R / hot_power - x^4 + cold,  R = filament x;  x: temperature, 1 when lit for long
struct LampLatch {
  double supply = 36, supply_lag = 10e-6, series = 150, filament = 100, heat_time = 0.12, cold = 1e-4, start = 0.1;
  double end = 10;
  GridValues grid{};
  TubeValues tube{8, 5, 1e-3, 1 - 9.0 / 70};
  PulseTrain set{0.25, 1, 1e-3};    ///< grid to 0
  PulseTrain reset{0.75, 1, 1e-3};  ///< supply to 0
  /// W, of the filament when hot (x = 1).
  [[nodiscard]] constexpr double hot_power() const {
    const double amperes = (supply - tube.drop) / (series + tube.ohms + filament);
    return amperes * amperes * filament;
  }
};

/// P5: ring of tubes with their anodes at the supply. Striking voltage: strike - w - gain p; w follows the previous
/// cathode, p a pulse that all tubes share.
struct Ring {
  std::size_t count = 4;
  double supply = 48, cathode = 500, ground = 20e-9, coupling = 100e-9;
  double floor = 9, strike = 120, prepare_lag = 100e-6, pulse = 4, gain = 10, pulse_lag = 5e-6;
  TubeValues tube{8, 5, 1e-3, 1};
  PulseTrain pulses{0.2e-3, 1e-3, 20e-6};
  /// Pulses, each of which moves the light on by one.
  [[nodiscard]] constexpr int shifts() const { return count > 50 ? 10 : 40; }
  [[nodiscard]] constexpr double end() const { return 1e-3 * shifts(); }
  /// V, of a cathode whose tube is lit, or blocked, for long.
  [[nodiscard]] constexpr double steady(bool lit) const {
    return lit ? (supply - tube.drop) / tube.ohms / (1 / cathode + 1 / tube.ohms)
               : supply * tube.leak / (1 / cathode + tube.leak);
  }
};

}  // namespace compare
