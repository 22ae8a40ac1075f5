// SPDX-License-Identifier: MIT
#pragma once
/// A signal lamp on a 48 V line, held lit by one xenon tetrode and put out by a second one through a capacitor between
/// their plates: the values, to be solved by this library and by SUNDIALS.
///
///   line --- series --- lamp --- plate a --- set tube --- ground
///   line --- reset load -------- plate b --- reset tube - ground
///   plate a --- commutating capacitor --- plate b
///   set drive --- grid lead --- grid a;   reset drive --- grid lead --- grid b

#include <gastube/catalogue/xenon.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

namespace latch {

/// One drive: rests at `low`, ramps to `high`, stays, ramps back; again every `period` (0: once). V and s.
struct Drive {
  double low, high, delay, width, period, rise, fall;
};

struct Values {
  double line = 48.0;                                       ///< V
  double series = 100.0;                                    ///< ohm
  double lamp_voltage = 36.0;                               ///< V, rated
  double lamp_current = 0.04;                               ///< A, rated
  double lamp_time = 0.1;                                   ///< s
  double lamp_cold = 0.11;                                  ///< of rated temperature
  double lamp_exponent = 0.55;                              ///< of current by voltage
  double reset_load = 4.7e3;                                ///< ohm
  double commutating = 0.47e-6;                             ///< F
  double grid_lead = 100e3;                                 ///< ohm
  Drive set{-10.0, 5.0, 0.01, 100e-6, 0.34, 10e-6, 10e-6};  ///< at 10 ms and again at 350 ms
  Drive reset{-10.0, 5.0, 0.2, 100e-6, 0.0, 10e-6, 10e-6};  ///< at 200 ms
  double end = 0.5;                                         ///< s
};

/// The tube's published data; interelectrode capacitances left out if not wanted.
[[nodiscard]] inline gastube::catalogue::TubeData tube_data(bool with_capacitances) {
  gastube::catalogue::TubeData data = gastube::catalogue::data_5727;
  if (with_capacitances) return data;
  data.grid_plate_capacitance.value = data.input_capacitance.value = data.output_capacitance.value = 0.0;
  data.shield_plate_capacitance.value = data.grid_shield_capacitance.value = 0.0;  // parts of the two before
  return data;
}

/// What is compared at one instant.
struct Sample {
  double lamp, plate_a, plate_b, grid_a, grid_b;  ///< V
  double temperature;                             ///< of rated
};

struct Event {
  double time;        ///< s
  std::size_t tube;   ///< 0 set, 1 reset
  const char* state;  ///< entered
};

struct Outcome {
  std::vector<Event> events;
  std::vector<Sample> samples;
  long steps = 0;
};

/// Greatest difference of any node's voltage in any sample, as a share of the line voltage.
[[nodiscard]] inline double voltage_gap(const Outcome& one, const Outcome& other, const Values& v = {}) {
  double gap = 0;
  for (std::size_t k = 0; k < one.samples.size(); ++k) {
    const Sample &a = one.samples[k], &b = other.samples.at(k);
    for (const double volts :
         {a.lamp - b.lamp, a.plate_a - b.plate_a, a.plate_b - b.plate_b, a.grid_a - b.grid_a, a.grid_b - b.grid_b})
      gap = std::max(gap, std::isnan(volts) ? 1e300 : std::fabs(volts) / v.line);
  }
  return gap;
}
/// The same of the filament's temperature, as a share of the rated one.
[[nodiscard]] inline double temperature_gap(const Outcome& one, const Outcome& other) {
  double gap = 0;
  for (std::size_t k = 0; k < one.samples.size(); ++k)
    gap = std::max(gap, std::fabs(one.samples[k].temperature - other.samples.at(k).temperature));
  return gap;
}

/// When to compare: while resting, in the ramps, around the firing, through the commutations, and while the lamp heats.
inline constexpr std::array sample_times{
    1e-3,   5e-3,     0.010003, 0.0100061, 0.01001,  0.010012, 0.0100125, 0.010015, 0.01005,  0.010105,
    0.0102, 0.0105,   0.011,    0.0125,    0.015,    0.02,     0.03,      0.05,     0.1,      0.15,
    0.199,  0.200005, 0.200012, 0.2000125, 0.200015, 0.20003,  0.2001,    0.200115, 0.2002,   0.2003,
    0.2005, 0.201,    0.203,    0.21,      0.25,     0.3,      0.349,     0.35001,  0.350013, 0.35002,
    0.3501, 0.3503,   0.351,    0.352,     0.355,    0.36,     0.38,      0.4,      0.45,     0.5};

}  // namespace latch
