// SPDX-License-Identifier: MIT
#pragma once
/// Parts with every feature in use, for laws that all parts obey.

#include <gastube/circuit/contact.hpp>
#include <gastube/circuit/filament_lamp.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/circuit/wired_tube.hpp>
#include <gastube/tube/family/ideal.hpp>

#include "support_for_tests/bench_tube.hpp"

namespace laws {

using namespace gastube;

template <class S>
[[nodiscard]] FilamentLamp<S> lamp() {
  return {1, 2, {.voltage = S(24), .current = S(0.04L)}};
}
template <class S>
[[nodiscard]] PulseSource<S> pulses() {
  return {1,
          2,
          {.low = S(-10), .high = S(5), .delay = S(0.25), .width = S(2), .period = S(6), .rise = S(1), .fall = S(0.5)}};
}
template <class S>
[[nodiscard]] PushButton<S, 2> button() {
  return {1, 2, {{{S(0.5), S(2)}, {S(5), S(3)}}}, {.bounces = 3, .time = S(0.75)}, S(0.5)};
}
/// The bench tube as a tetrode, in any state.
template <class S>
[[nodiscard]] auto tetrode() {
  auto bundle = bench_laws<S>();
  bundle.capacitances = {S(2e-12L), S(10e-12L), S(1e-12L)};
  return wired(catalogue::RareGasTube<S>(bundle, "bench tube"), {.plate = 1, .grid = 2, .shield = 3, .cathode = 4});
}
template <class S>
[[nodiscard]] auto ideal() {
  return wired(IdealTube<S>{.control_ratio = S(20),
                            .arc_drop = S(15),
                            .sustaining_current = S(1e-3L),
                            .arc_resistance = S(5),
                            .leakage = S(1e-9L)}
                   .build(),
               {.plate = 1, .grid = 2, .cathode = 3});
}
template <class Wired>
[[nodiscard]] auto in_state(const Wired& tube, TubeState state) {
  auto memory = tube.memory(typename Wired::Scalar(0));
  memory.state = state;
  return memory;
}

}  // namespace laws
