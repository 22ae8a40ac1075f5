// SPDX-License-Identifier: MIT
#pragma once
/// What passes: current, arc drop and dissipation of a lamp and a resistor in series with the lit tube.

#include "gastube/circuit/filament_lamp.hpp"
#include "gastube/support/root.hpp"
#include "gastube/tube/arc/arc_drop.hpp"

namespace gastube::design {

/// A lamp and a resistor from a dc supply to the plate.
template <Real S>
struct LampLoad {
  S supply;                ///< V, above 0
  S resistance;            ///< ohm in series with the lamp, at least 0
  FilamentRating<S> lamp;  ///< the lamp

  void check() const {
    Check{"lamp load"}.above("supply", supply, 0.0, "V").at_least("resistance", resistance, 0.0, "ohm");
  }
  /// The lamp as a part, which also checks its rating.
  [[nodiscard]] FilamentLamp<S> part() const { return {1, 0, lamp}; }
};

/// The steady state with the lamp hot, and the first moment with the lamp cold.
template <Real S>
struct LoadAnswer {
  bool lights;     ///< false if the supply does not exceed the arc drop; all else is then 0
  S current;       ///< A
  S arc_drop;      ///< V
  S lamp_voltage;  ///< V
  S light;         ///< share of rated light
  S lamp_power, resistor_power, tube_power, supply_power;  ///< W
  S inrush_current;                                        ///< A, with the lamp cold
  S branch_resistance;                                     ///< ohm, lamp hot and resistor together
};

/// Solves supply = arc(i) + resistance i + lamp(i); `arc` is an arc law. @throws InvalidParameter
template <Real S, ArcLaw<S> Arc>
[[nodiscard]] LoadAnswer<S> load(const LampLoad<S>& question, const Arc& arc) {
  question.check();
  arc.check();
  const FilamentLamp<S> lamp = question.part();
  LoadAnswer<S> answer{};
  // Lamp voltage is the unknown: current follows from it by the published law.
  const auto rest = [&](const S& volts) {
    const S i = lamp.steady_current(volts);
    return S(question.supply - arc.voltage(i) - question.resistance * i - volts);
  };
  using P = Plain<S>;
  const P tiny = value_of(question.supply) * P(1e-12);
  answer.lights = value_of(rest(S(tiny))) > P(0);
  if (!answer.lights) return answer;
  const P root =
      find_root([&](P volts) { return value_of(rest(S(volts))); }, tiny, value_of(question.supply), P(1e-12));
  // One Newton step in S carries the derivatives of an automatic-differentiation scalar.
  const P small = root * P(1e-4);
  const P slope = (value_of(rest(S(root + small))) - value_of(rest(S(root - small)))) / (P(2) * small);
  answer.lamp_voltage = S(S(root) - rest(S(root)) / S(slope));
  answer.current = lamp.steady_current(answer.lamp_voltage);
  answer.arc_drop = arc.voltage(answer.current);
  answer.light = math::pow(S(answer.lamp_voltage / question.lamp.voltage), value_of(question.lamp.light_exponent));
  answer.lamp_power = S(answer.lamp_voltage * answer.current);
  answer.resistor_power = S(question.resistance * answer.current * answer.current);
  answer.tube_power = S(answer.arc_drop * answer.current);
  answer.supply_power = S(question.supply * answer.current);
  answer.branch_resistance = S(question.resistance + answer.lamp_voltage / answer.current);
  const S cold = S(lamp.resistance(question.lamp.cold) + question.resistance);
  answer.inrush_current = S((question.supply - answer.arc_drop) / cold);
  return answer;
}

}  // namespace gastube::design
