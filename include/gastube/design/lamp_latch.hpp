// SPDX-License-Identifier: MIT
#pragma once
/// The whole verdict on a lamp latch: one tube lights the lamp and latches, a second puts it out through a capacitor
/// and then goes out by itself, because its own resistor cannot feed its sustaining current.

#include "gastube/design/averaging.hpp"
#include "gastube/design/commutation.hpp"
#include "gastube/design/holding.hpp"
#include "gastube/design/load.hpp"
#include "gastube/design/ratings_watch.hpp"
#include "gastube/design/strike.hpp"

namespace gastube::design {

/// Parameters of the circuit and of its use.
template <Real S>
struct LampLatch {
  LampLoad<S> load;        ///< supply, series resistor and lamp to the plate of the lamp tube
  GridDrive<S> rest;       ///< holds both tubes off
  GridDrive<S> set;        ///< fires either tube
  S capacitance;           ///< F between the plates, above 0
  S reset_resistance;      ///< ohm from supply to the plate of the reset tube, above 0
  DutyCycle<S> use;        ///< how long the lamp burns, and how often
  S heater_supply = S(0);  ///< V dc of the heater supply above the cathodes, before the heater's own voltage
  S heating_time = S(0);   ///< s waited before the first set
  S ambient = S(25);       ///< degrees Celsius
  S shield = S(0);         ///< V on the shield grids

  void check() const {
    load.check();
    rest.check("resting grid drive");
    set.check("set grid drive");
    use.check();
    Check{"lamp latch"}
        .above("capacitance", capacitance, 0.0, "F")
        .above("reset_resistance", reset_resistance, 0.0, "ohm")
        .finite("heater_supply", heater_supply, "V")
        .at_least("heating_time", heating_time, 0.0, "s")
        .finite("ambient", ambient, "degrees Celsius")
        .finite("shield", shield, "V");
  }
};

/// How the latch lets go.
template <Real S>
struct ReleaseAnswer {
  S deionisation_time;   ///< s, of the lamp tube at its current and resting bias
  S required_off_time;   ///< s, the same with the uncertainty of the published figure
  S hold_off;            ///< s, that the capacitor keeps the lamp tube's plate below its arc drop, lamp hot
  S hold_off_cold;       ///< s, the same with a lamp that is still cold
  S margin;              ///< s, hold_off - required_off_time
  S least_capacitance;   ///< F
  S reset_tube_current;  ///< A, that the reset resistor feeds: must stay below the least sustaining current
  S self_stop_margin;    ///< A, least sustaining current - reset_tube_current
  S reset_tube_peak;     ///< A, with a lamp that is still cold
};

/// How soon again, whatever the lamp's temperature: worked with a cold lamp.
template <Real S>
struct RepetitionAnswer {
  S least_lit_time;  ///< s from set to the next reset, capacitor charged the wrong way round before; unlimited if only
                     ///< a hot lamp leaves enough time
  S least_out_time;  ///< s from reset to the next set
  S highest_rate;    ///< set and reset per second; 0 if the capacitor is too small for a cold lamp at any rate
};

/// What stands in the way, as numbers; the words are constants.
template <Real S>
struct Objection {
  const char* matter;  ///< what is wrong
  const char* change;  ///< what would have to change, to be followed by `needed`
  S value, needed;
  const char* unit;
};

template <Real S>
struct LampLatchVerdict {
  StrikeAnswer<S> strike;
  LoadAnswer<S> load;                          ///< with the published drop
  LoadAnswer<S> load_brightest, load_dimmest;  ///< with the least and the greatest drop of the spread
  HoldAnswer<S> hold;                          ///< with the greatest drop and the greatest sustaining current
  ReleaseAnswer<S> release;
  RepetitionAnswer<S> repetition;
  RatingsReport<S> lamp_tube, reset_tube;
  static constexpr std::size_t most_objections = 8;
  std::array<Objection<S>, most_objections> objections;
  std::size_t objection_count = 0;

  [[nodiscard]] bool sound() const { return objection_count == 0; }
};

/// Published deionisation times are taken to be this uncertain (30 %).
inline constexpr double deionisation_uncertainty = 1.3;

namespace detail {

template <Real S>
struct LatchJudge {
  const catalogue::TubeData& data;
  const LampLatch<S>& latch;
  LampLatchVerdict<S> verdict{};

  [[nodiscard]] LoadAnswer<S> with_drop(double drop) const {
    return load(latch.load, LinearDrop<S>{S(drop), S(data.arc_resistance.value)});
  }
  [[nodiscard]] Commutation<S> commutation() const {
    return {latch.load.supply, verdict.load.arc_drop, verdict.load.branch_resistance, latch.reset_resistance,
            latch.capacitance};
  }

  void strike_and_load() {
    verdict.strike = strike<S>(data, {latch.load.supply, latch.rest, latch.set, latch.shield});
    verdict.load = with_drop(data.arc_drop);
    verdict.load_brightest = with_drop(data.arc_drop_least);
    verdict.load_dimmest = with_drop(data.arc_drop_greatest);
  }

  void hold_and_release() {
    const auto tube = catalogue::build<S>(data);
    const Commutation<S> c = commutation();
    verdict.hold = holding(latch.load.supply, verdict.load_dimmest.arc_drop, verdict.load_dimmest.branch_resistance,
                           S(data.sustaining_greatest.value));
    auto& r = verdict.release;
    r.deionisation_time = tube.laws().recovery.deionisation_time(verdict.load.current, latch.rest.voltage);
    r.required_off_time = S(r.deionisation_time * S(Plain<S>(deionisation_uncertainty)));
    r.hold_off = hold_off(c, verdict.load.arc_drop);
    Commutation<S> cold = c;
    cold.load = S(c.swing() / verdict.load.inrush_current);
    r.hold_off_cold = hold_off(cold, verdict.load.arc_drop);
    r.margin = S(r.hold_off - r.required_off_time);
    r.least_capacitance = least_capacitance(c, r.required_off_time, verdict.load.arc_drop);
    r.reset_tube_current = S((latch.load.supply - S(data.arc_drop_least.value)) / latch.reset_resistance);
    r.self_stop_margin = S(S(data.sustaining_least.value) - r.reset_tube_current);
    r.reset_tube_peak = commutating_peak(cold);
    auto& again = verdict.repetition;
    again.least_lit_time = least_lit_time(cold, r.required_off_time, verdict.load.arc_drop);
    again.least_out_time = r.required_off_time;
    again.highest_rate =
        is_limited(again.least_lit_time) ? S(S(1) / (again.least_lit_time + again.least_out_time)) : S(0);
  }

  /// Stress that both tubes share.
  [[nodiscard]] Stress<S> common_stress() const {
    Stress<S> s;
    s.peak_forward = latch.load.supply;
    s.peak_inverse = math::positive_part(S(latch.load.supply - S(2) * verdict.load.arc_drop));
    s.grid_negative_before = math::positive_part(S(-latch.rest.voltage));
    s.grid_negative_during = s.grid_negative_before;
    s.grid_current = positive_grid_current();
    s.grid_resistance = latch.rest.resistance;
    const S peak = S(S(std::numbers::sqrt2_v<Plain<S>>) * S(data.heater_voltage.value));
    s.heater_positive = math::positive_part(S(latch.heater_supply + peak));
    s.heater_negative = math::positive_part(S(peak - latch.heater_supply));
    s.heating_time = latch.heating_time;
    s.ambient = latch.ambient;
    return s;
  }
  /// Lit tubes clamp the grid near the plasma.
  [[nodiscard]] S positive_grid_current() const {
    const S over = math::positive_part(S(latch.set.voltage - S(data.plasma_potential.value)));
    return S(over / (latch.set.resistance + S(data.plasma_resistance.value)));
  }
  void ratings() {
    const auto limits = catalogue::ratings_of<S>(data);
    Stress<S> lamp = common_stress(), reset = common_stress();
    lamp.peak_current = verdict.load_brightest.inrush_current;
    lamp.average_current = worst_average(verdict.load_brightest.current, latch.use, S(data.averaging_time.value));
    reset.peak_current = verdict.release.reset_tube_peak;
    const S charge = S(S(2) * latch.capacitance * (latch.load.supply - verdict.load.arc_drop));
    reset.average_current = S(charge / latch.use.period);
    verdict.lamp_tube = watch(limits, lamp);
    verdict.reset_tube = watch(limits, reset);
  }

  void object(bool wrong, const char* matter, const char* change, const S& value, const S& needed, const char* unit) {
    if (wrong) verdict.objections[verdict.objection_count++] = {matter, change, value, needed, unit};
  }
  /// Objections that leave nothing else to compute.
  void object_to_strike() {
    const auto& s = verdict.strike;
    const Plain<S> zero(0);
    object(!s.possible || value_of(s.fire_margin) < zero, "the supply and the set drive do not strike every tube",
           "raise the supply to at least", latch.load.supply, S(s.least_plate), "V");
    object(s.possible && value_of(s.fire_margin) < zero,
           "the set drive does not reach the critical grid voltage of every tube", "or raise the set drive to at least",
           latch.set.voltage, s.latest_drive, "V");
    object(value_of(s.hold_margin) < zero, "the resting bias does not hold every tube off",
           "lower the resting bias to at most", latch.rest.voltage, s.earliest_drive, "V");
    object(!verdict.load_dimmest.lights, "the supply does not exceed the arc drop", "raise the supply above",
           latch.load.supply, S(data.arc_drop_greatest.value), "V");
  }
  void object_to_run() {
    const auto& r = verdict.release;
    const Plain<S> zero(0);
    object(value_of(verdict.hold.margin) < zero, "the load cannot feed the sustaining current of every tube",
           "lower the resistance in the plate lead to at most", verdict.load_dimmest.branch_resistance,
           verdict.hold.greatest_resistance, "ohm");
    object(value_of(r.margin) < zero, "the capacitor does not keep the lamp tube out long enough to deionise",
           "raise the commutating capacitor to at least", latch.capacitance, r.least_capacitance, "F");
    object(value_of(r.self_stop_margin) < zero, "the reset tube may stay lit on its own resistor",
           "raise the reset resistor to at least", latch.reset_resistance,
           S((latch.load.supply - S(data.arc_drop_least.value)) / S(data.sustaining_least.value)), "ohm");
    const auto& worst = value_of(verdict.lamp_tube.worst().use) > value_of(verdict.reset_tube.worst().use)
                            ? verdict.lamp_tube.worst()
                            : verdict.reset_tube.worst();
    object(value_of(worst.use) > Plain<S>(1), worst.rating,
           worst.is_least ? "violates its rating; bring it to at least" : "violates its rating; bring it to at most",
           worst.value, worst.limit, worst.unit);
  }
};

}  // namespace detail

/// Judges the latch with tubes of one type. @throws InvalidParameter
template <Real S>
[[nodiscard]] LampLatchVerdict<S> judge(const catalogue::TubeData& data, const LampLatch<S>& latch) {
  latch.check();
  detail::LatchJudge<S> judge{data, latch};
  judge.strike_and_load();
  judge.object_to_strike();
  if (!judge.verdict.load_dimmest.lights) return judge.verdict;
  judge.hold_and_release();
  judge.ratings();
  judge.object_to_run();
  return judge.verdict;
}

}  // namespace gastube::design
