// SPDX-License-Identifier: MIT
// The laws of all parts, asked of windings, diodes, relays, batteries, vacuum tubes and instruments.
#include <gastube/circuit/battery.hpp>
#include <gastube/circuit/current_source.hpp>
#include <gastube/circuit/light_emitting_diode.hpp>
#include <gastube/circuit/meter.hpp>
#include <gastube/circuit/potentiometer.hpp>
#include <gastube/circuit/relay.hpp>
#include <gastube/circuit/transformer.hpp>
#include <gastube/circuit/vacuum_pentode.hpp>
#include <gastube/circuit/vacuum_triode.hpp>

#include "laws/part_laws.hpp"

#include <doctest/doctest.h>

using namespace gastube;
using namespace laws;

namespace {
template <class S>
[[nodiscard]] CoupledInductors<S, 3> coils(S k12, S k13, S k23) {
  return {{{{1, 2, S(1), S(3)}, {3, 4, S(0.5), S(2)}, {5, 6, S(2), S(1)}}}, {k12, k13, k23}};
}
template <class S>
[[nodiscard]] Relay<S> relay() {
  return {1,
          2,
          {{{.common = 3, .work = 4, .rest = 5}}},
          {.resistance = S(100),
           .inductance_open = S(0.5),
           .inductance_closed = S(1),
           .pull_in = S(0.25),
           .drop_out = S(0.125)}};
}
template <class S>
[[nodiscard]] typename Relay<S>::Memory with(Armature armature) {
  typename Relay<S>::Memory memory;
  memory.armature = armature;
  return memory;
}
const DiodeLines<double> lines{.drop = 0.75, .slope = 2.0, .leakage = 1e-3};
const JunctionLaw<double> junction{.saturation_current = 1e-3, .emission = 20.0, .series_resistance = 3.0};
}  // namespace

TEST_CASE_TEMPLATE("linear parts write the slopes of their own currents and charges, and lose none of them", S, float,
                   double) {
  check_equations(coils<S>(S(0.9L), S(0.5), S(0.3L)));
  check_equations(coils<S>(S(1), S(1), S(1)));
  check_equations(Potentiometer<S>{1, 2, 3, S(330), S(0.25)});
  check_equations(Potentiometer<S>{1, 2, 3, S(330), S(0)});
  check_equations(Battery<S>{1, 2, S(12), S(0.5)});
  check_equations(ChargingBattery<S>{1, 2, S(12), S(0.5), S(0.25)});
  for (const Armature armature : {Armature::resting, Armature::closing, Armature::held})
    check_equations(relay<S>(), with<S>(armature));
}

TEST_CASE("so do the others") {
  const LightEmittingDiode lamp(Diode<double>{1, 2, lines}, 0.01);
  check_equations(lamp, {false});
  check_equations(lamp, {true});
  check_equations(ExponentialDiode<double>{1, 2, junction}, {}, 60, -100);
  check_equations(steady_current(1, 2, 0.25));
  check_equations(MovingCoilMeter<double>{1, 2, 1e3, 0.1});
  check_equations(PeakMeter<double>{1, 2, 1e3, 0.1}, {true});
  // without capacitances: their picofarads vanish in the differences' noise, and are Capacitor's own equations
  auto bare = triode(1, 2, 3, triodes::type_6sn7);
  bare.law.grid_plate = bare.law.grid_cathode = bare.law.plate_cathode = 0;
  auto screened = pentode(1, 2, 3, 4, pentodes::type_ef80);
  screened.law.grid_plate = screened.law.grid_cathode = screened.law.plate_cathode = 0;
  check_equations(bare, {}, 100);
  check_equations(bare, {}, 3);
  check_equations(screened, {}, 100);
}

TEST_CASE("potentiometers, diodes, vacuum tubes and instruments absorb power at any drive") {
  check_passive(Potentiometer<double>{1, 2, 3, 330.0, 0.25});
  check_passive(Potentiometer<double>{1, 2, 3, 330.0, 1.0});
  const Diode<double> diode(1, 2, lines);
  check_passive(diode, {false});
  check_passive(diode, {true}, [](const auto& view) { return view.own(0) > 1e-3; });
  check_passive(ExponentialDiode<double>{1, 2, junction});
  check_passive(ExponentialDiode<double>{1, 2, {.saturation_current = 1e-12}});
  check_passive(triode(1, 2, 3, triodes::type_6sn7));
  check_passive(pentode(1, 2, 3, 4, pentodes::type_ef80));
  check_passive(RmsMeter<double>{1, 2, 1e3, 0.1});
}

TEST_CASE("each number of a part is refused outside its range, by its name") {
  using S = double;
  check_refusals<S>("potentiometer: resistance", Range::positive, [](S v) {
    return Potentiometer<S>{1, 2, 3, v, 0.5};
  });
  check_refusals<S>("battery: force", Range::any_finite, [](S v) { return Battery<S>{1, 2, v, 1}; });
  check_refusals<S>("battery: resistance", Range::not_negative, [](S v) { return Battery<S>{1, 2, 1, v}; });
  check_refusals<S>("charging battery: rise", Range::positive, [](S v) { return ChargingBattery<S>{1, 2, 1, 1, v}; });
  check_refusals<S>("diode: drop", Range::not_negative, [](S v) { return Diode<S>{1, 2, {.drop = v}}; });
  check_refusals<S>("diode: slope", Range::not_negative, [](S v) { return Diode<S>{1, 2, {.slope = v}}; });
  check_refusals<S>("diode: leakage", Range::not_negative, [](S v) { return Diode<S>{1, 2, {.leakage = v}}; });
  check_refusals<S>("exponential diode: saturation_current", Range::positive, [](S v) {
    return ExponentialDiode<S>{1, 2, {.saturation_current = v}};
  });
  check_refusals<S>("exponential diode: series_resistance", Range::not_negative, [](S v) {
    return ExponentialDiode<S>{1, 2, {.saturation_current = 1, .series_resistance = v}};
  });
  const auto winding = [](S henries, S ohms, S amperes) {
    return CoupledInductors<S, 2>{{{{1, 2, henries, ohms, amperes}, {3, 4, 1.0}}}, {0.5}};
  };
  check_refusals<S>("coupled inductors: inductance", Range::positive, [&](S v) { return winding(v, 0, 0); });
  check_refusals<S>("coupled inductors: resistance", Range::not_negative, [&](S v) { return winding(1, v, 0); });
  check_refusals<S>("coupled inductors: initial", Range::any_finite, [&](S v) { return winding(1, 0, v); });
  check_refusals<S>("triode: perveance", Range::positive, [](S v) {
    return VacuumTriode<S>{1, 2, 3, {.perveance = v, .mu = 1}};
  });
  check_refusals<S>("triode: contact", Range::any_finite, [](S v) {
    return VacuumTriode<S>{1, 2, 3, {.perveance = 1, .mu = 1, .contact = v}};
  });
  check_refusals<S>("pentode: knee", Range::positive, [](S v) {
    return VacuumPentode<S>{1, 2, 3, 4, {.perveance = 1, .screen_mu = 1, .knee = v}};
  });
  check_refusals<S>("relay: resistance", Range::positive, [](S v) {
    return Relay<S>{
        1, 2, {}, {.resistance = v, .inductance_open = 1, .inductance_closed = 1, .pull_in = 1, .drop_out = 1}};
  });
}
