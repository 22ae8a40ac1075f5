// SPDX-License-Identifier: MIT
#pragma once
/// What is published of glow lamps, stabilisers and trigger tubes, and the tubes it makes.

#include "gastube/catalogue/tube_data.hpp"
#include "gastube/tube/family/glow_tube.hpp"
#include "gastube/tube/family/trigger_tube.hpp"

namespace gastube::catalogue {

/// Data of one glow lamp or stabiliser. SI units.
struct GlowData {
  const char* type;                          ///< registered designation
  std::array<const char*, 3> also_known_as;  ///< registered equivalents, null where there are fewer
  const char* fill;                          ///< gas or mixture

  Datum strike, strike_greatest;                  ///< V, middle and greatest of new tubes, in the light
  Datum strike_inverse;                           ///< V, the other way round
  Datum dark_increase;                            ///< V more in complete darkness
  Datum maintaining;                              ///< V at the design current
  Datum maintaining_least, maintaining_greatest;  ///< V, over tubes and currents
  Datum design_current;                           ///< A
  Datum least_current, greatest_current;          ///< A, of steady use
  Datum extinction_current;                       ///< A, below which the glow goes out
  Datum resistance;                               ///< ohm, of the normal glow
  Datum covering_current;                         ///< A, with which the whole cathode glows
  Datum abnormal_resistance;                      ///< ohm, beyond
  Datum arc_current, arc_drop, arc_least;         ///< A, V, A: where the glow turns into an arc, and what that is
  Datum starting_current;                         ///< A, allowed for a few seconds
  Datum shunt_capacitance;                        ///< F, greatest allowed across the tube
  Datum ambient_low, ambient_high;                ///< degrees Celsius
  Datum lag;                                      ///< s, formative lag at twice the strike voltage
  Datum deionisation_constant;                    ///< s
  Datum leakage;                                  ///< S
  Datum capacitance;                              ///< F
};

/// Calls f(name, unit, datum) for every field, in the order of a data sheet.
template <class Function>
constexpr void for_each_field(const GlowData& d, Function&& f) {
  f("strike voltage", "V", d.strike);
  f("greatest strike voltage", "V", d.strike_greatest);
  f("inverse strike voltage", "V", d.strike_inverse);
  f("increase of strike voltage in the dark", "V", d.dark_increase);
  f("maintaining voltage", "V", d.maintaining);
  f("least maintaining voltage", "V", d.maintaining_least);
  f("greatest maintaining voltage", "V", d.maintaining_greatest);
  f("design current", "A", d.design_current);
  f("least current", "A", d.least_current);
  f("greatest current", "A", d.greatest_current);
  f("extinction current", "A", d.extinction_current);
  f("resistance of the normal glow", "ohm", d.resistance);
  f("current that covers the cathode", "A", d.covering_current);
  f("resistance of the abnormal glow", "ohm", d.abnormal_resistance);
  f("current that makes an arc", "A", d.arc_current);
  f("drop of that arc", "V", d.arc_drop);
  f("least current of that arc", "A", d.arc_least);
  f("starting current", "A", d.starting_current);
  f("shunt capacitance", "F", d.shunt_capacitance);
  f("lowest ambient temperature", "degrees Celsius", d.ambient_low);
  f("highest ambient temperature", "degrees Celsius", d.ambient_high);
  f("formative lag at twice the strike voltage", "s", d.lag);
  f("deionisation time constant", "s", d.deionisation_constant);
  f("leakage", "S", d.leakage);
  f("capacitance", "F", d.capacitance);
}

/// Data of one trigger tube. SI units.
struct TriggerData {
  const char* type;                          ///< registered designation
  std::array<const char*, 3> also_known_as;  ///< registered equivalents, null where there are fewer
  const char* fill;                          ///< gas or mixture

  Datum breakdown_least;  ///< V, main gap, trigger at the cathode: every tube holds this
  Datum breakdown;        ///< V, the same of the middle tube
  Datum trigger_ignition, trigger_ignition_least, trigger_ignition_greatest;  ///< V
  Datum trigger_drop;                                                         ///< V
  Datum trigger_resistance;                                                   ///< ohm, of the burning trigger gap
  Datum trigger_least_current;                                                ///< A, below which it goes out
  Datum transfer_current, transfer_plate;  ///< A of trigger that fires the main gap at this plate voltage, V
  Datum maintaining;                       ///< V, main gap
  Datum resistance;                        ///< ohm, of the main gap
  Datum sustaining_current;                ///< A, main gap
  Datum peak_current, average_current;     ///< A
  Datum averaging_time;                    ///< s
  Datum peak_forward, peak_inverse;        ///< V
  Datum ambient_low, ambient_high;         ///< degrees Celsius
  Datum lag;                               ///< s, formative lag at twice the strike voltage
  Datum deionisation_constant;             ///< s
  Datum leakage;                           ///< S
  Datum trigger_capacitance;               ///< F, trigger to cathode
};

/// Calls f(name, unit, datum) for every field, in the order of a data sheet.
template <class Function>
constexpr void for_each_field(const TriggerData& d, Function&& f) {
  f("least breakdown voltage", "V", d.breakdown_least);
  f("breakdown voltage", "V", d.breakdown);
  f("trigger ignition voltage", "V", d.trigger_ignition);
  f("least trigger ignition voltage", "V", d.trigger_ignition_least);
  f("greatest trigger ignition voltage", "V", d.trigger_ignition_greatest);
  f("trigger drop", "V", d.trigger_drop);
  f("resistance of the trigger gap", "ohm", d.trigger_resistance);
  f("least current of the trigger gap", "A", d.trigger_least_current);
  f("transfer current", "A", d.transfer_current);
  f("plate voltage of the transfer current", "V", d.transfer_plate);
  f("maintaining voltage", "V", d.maintaining);
  f("resistance of the main gap", "ohm", d.resistance);
  f("sustaining current", "A", d.sustaining_current);
  f("peak cathode current", "A", d.peak_current);
  f("average cathode current", "A", d.average_current);
  f("averaging time", "s", d.averaging_time);
  f("peak forward voltage", "V", d.peak_forward);
  f("peak inverse voltage", "V", d.peak_inverse);
  f("lowest ambient temperature", "degrees Celsius", d.ambient_low);
  f("highest ambient temperature", "degrees Celsius", d.ambient_high);
  f("formative lag at twice the strike voltage", "s", d.lag);
  f("deionisation time constant", "s", d.deionisation_constant);
  f("leakage", "S", d.leakage);
  f("trigger capacitance", "F", d.trigger_capacitance);
}

template <Real S = double>
using StandardGlowTube = GlowTube<StandardGlowLaws<S>>;
template <Real S = double>
using StandardTriggerTube = TriggerTube<StandardTriggerLaws<S>>;

/// A lamp or stabiliser at the middle of its published data, in the light.
/// @param darkness 0 in the light to 1; @throws InvalidParameter if the data contradict a law's range
template <Real S = double>
[[nodiscard]] StandardGlowTube<S> build(const GlowData& d, const S& darkness = S(0)) {
  const S r = S(d.resistance.value);
  StandardGlowLaws<S> laws{
      .ignition = {.forward = S(d.strike.value),
                   .inverse = S(d.strike_inverse.value),
                   .dark_increase = S(d.dark_increase.value),
                   .darkness = darkness},
      .delay = {S(d.lag.value)},
      .arc = {.normal = {S(S(d.maintaining.value) - r * S(d.design_current.value)), r},
              .covered_from = S(d.covering_current.value),
              .abnormal_resistance = S(d.abnormal_resistance.value),
              .arc_from = S(d.arc_current.value),
              .arc_drop = S(d.arc_drop.value),
              .arc_least = S(d.arc_least.value)},
      .sustaining = {S(d.extinction_current.value)},
      .recovery = {.time_constant = S(d.deionisation_constant.value), .reference_current = S(d.design_current.value)},
      .electrons = {S(d.leakage.value)},
      .capacitances = {.plate_cathode = S(d.capacitance.value)}};
  laws.ratings.peak_current = S(d.starting_current.value);
  laws.ratings.average_current = S(d.greatest_current.value);
  laws.ratings.ambient_low = S(d.ambient_low.value);
  laws.ratings.ambient_high = S(d.ambient_high.value);
  return StandardGlowTube<S>(laws, d.type);
}

/// A trigger tube at the middle of its published data. @throws InvalidParameter if they contradict a law's range
template <Real S = double>
[[nodiscard]] StandardTriggerTube<S> build(const TriggerData& d) {
  StandardTriggerLaws<S> laws{
      .ignition = transfer_through(S(d.breakdown.value), S(d.maintaining.value), S(d.transfer_current.value),
                                   S(d.transfer_plate.value)),
      .grid = {.ignition = S(d.trigger_ignition.value),
               .drop = S(d.trigger_drop.value),
               .resistance = S(d.trigger_resistance.value),
               .least_current = S(d.trigger_least_current.value)},
      .delay = {S(d.lag.value)},
      .arc = {S(d.maintaining.value), S(d.resistance.value)},
      .sustaining = {S(d.sustaining_current.value)},
      .recovery = {.time_constant = S(d.deionisation_constant.value), .reference_current = S(d.average_current.value)},
      .electrons = {S(d.leakage.value)},
      .capacitances = {.grid_cathode = S(d.trigger_capacitance.value)}};
  laws.ratings.peak_forward = S(d.peak_forward.value);
  laws.ratings.peak_inverse = S(d.peak_inverse.value);
  laws.ratings.peak_current = S(d.peak_current.value);
  laws.ratings.average_current = S(d.average_current.value);
  laws.ratings.averaging_time = S(d.averaging_time.value);
  laws.ratings.ambient_low = S(d.ambient_low.value);
  laws.ratings.ambient_high = S(d.ambient_high.value);
  return StandardTriggerTube<S>(laws, d.type);
}

}  // namespace gastube::catalogue
