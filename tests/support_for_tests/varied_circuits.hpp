// SPDX-License-Identifier: MIT
#pragma once
/// Two circuits as functions of all their component values, and what is measured on them: for derivatives. Both take
/// the same list of values, some of which play another part in the other.

#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/circuit/voltmeter.hpp>
#include <gastube/tube/family/ideal.hpp>
#include <gastube/tube/recovery/exponential_recovery.hpp>

#include "support_for_tests/event_log.hpp"
#include "support_for_tests/level_watch.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <string>
#include <vector>

namespace varied {

enum Value {
  supply_volts,   ///< V
  first_ohms,     ///< ohm
  second_ohms,    ///< ohm
  farads,         ///< F
  arc_drop,       ///< V
  arc_ohms,       ///< ohm
  least_current,  ///< A
  control_ratio,  ///< with the bias: the voltage that strikes
  bias,           ///< V
  grid_ohms,      ///< ohm
  grid_farads,    ///< F
  recovery,       ///< s
  value_count,
};
template <class S>
using Values = std::array<S, value_count>;

/// A measured quantity and its name.
template <class S>
struct Reading {
  const char* name;
  S value;
};

template <class S>
[[nodiscard]] auto tube(const Values<S>& v) {
  const gastube::IdealTube<S> type{.control_ratio = v[control_ratio],
                                   .arc_drop = v[arc_drop],
                                   .sustaining_current = v[least_current],
                                   .arc_resistance = v[arc_ohms]};
  return type.build(gastube::ExponentialRecovery<S>{v[recovery]});
}
/// Triggers above the bias: from `first` on, each `width` long, every `period`; s.
template <class S>
[[nodiscard]] gastube::PulseSource<S> triggers(gastube::Node node, const Values<S>& v, long double first,
                                               long double width, long double period) {
  return {node, 0, {.low = v[bias], .high = S(0), .delay = S(first), .width = S(width), .period = S(period)}};
}
/// What a voltmeter has summed up, V s.
template <class Run>
[[nodiscard]] typename Run::S area(const Run& run) {
  return gastube::follower(run, run.system().find("voltmeter"));
}

/// Two tubes that put each other out through a capacitor, each triggered through a resistor into a capacitor at its
/// grid, every 1.2 ms in turn. Loads first_ohms and second_ohms.
inline constexpr Values<long double> flip_flop_values{150,   2e3L, 2.2e3L, 0.22e-6L, 15,      5,
                                                      1e-3L, 20,   -10,    100e3L,   50e-12L, 20e-6L};
template <class S>
[[nodiscard]] auto flip_flop(const Values<S>& v) {
  using namespace gastube;
  enum { ground, supply, plate_1, plate_2, trigger_1, trigger_2, grid_1, grid_2, node_count };
  return wire<node_count>(
      DcSource<S>{supply, ground, v[supply_volts]}, triggers<S>(trigger_1, v, 1e-3L, 20e-6L, 1.2e-3L),
      triggers<S>(trigger_2, v, 1.6e-3L, 20e-6L, 1.2e-3L), Resistor<S>{supply, plate_1, v[first_ohms]},
      Resistor<S>{supply, plate_2, v[second_ohms]}, Capacitor<S>{plate_1, plate_2, v[farads]},
      Resistor<S>{trigger_1, grid_1, v[grid_ohms]}, Resistor<S>{trigger_2, grid_2, v[grid_ohms]},
      Capacitor<S>{grid_1, ground, v[grid_farads], v[bias]}, Capacitor<S>{grid_2, ground, v[grid_farads], v[bias]},
      named("T1", wired(tube(v), {.plate = plate_1, .grid = grid_1, .cathode = ground})),
      named("T2", wired(tube(v), {.plate = plate_2, .grid = grid_2, .cathode = ground})),
      Voltmeter<S>{plate_1, ground, S(1e15L)}, LevelWatch<S>{plate_1, ground, v[arc_drop], "back"});
}
/// Of the fifth cycle: when T2 fires, how long T1 is then held off, and the mean of its plate.
template <class Scheme, class S>
[[nodiscard]] std::vector<Reading<S>> measure_flip_flop(const Values<S>& v, const gastube::Settings<S>& settings) {
  auto run = gastube::start<Scheme>(flip_flop(v), settings);
  EventLog<S> log;
  const S begins = S(1e-3L + 4 * 1.2e-3L);
  REQUIRE(run.run_until(begins, log) == gastube::Status::done);
  const S before = area(run);
  REQUIRE(run.run_until(S(begins + S(1.2e-3L)), log) == gastube::Status::done);
  const auto fired = log.times("T2", "conducting"), back = log.times("back", "above"), out = log.times("T1", "blocked");
  REQUIRE(log.count("T1", "conducting") == 5);
  REQUIRE(fired.size() == 5);
  REQUIRE(out.size() == 5);
  return {{"firing", fired.back()},
          {"hold-off", S(back.back() - fired.back())},
          {"deionised", out.back()},
          {"mean", S((area(run) - before) / S(1.2e-3L))}};
}

/// Each trigger empties a capacitor through the tube into second_ohms at its cathode, until the current falls below the
/// sustaining one; first_ohms charge it again, not quite up to the supply.
inline constexpr Values<long double> one_pulse_values{250,   50e3L, 10e3L, 1e-6L,  15,       200,
                                                      5e-3L, 20,    -20,   200e3L, 500e-12L, 1e-3L};
template <class S>
[[nodiscard]] auto one_pulse(const Values<S>& v) {
  using namespace gastube;
  enum { ground, supply, plate, cathode, trigger, grid, node_count };
  return wire<node_count>(DcSource<S>{supply, ground, v[supply_volts]}, triggers<S>(trigger, v, 80e-3L, 2e-3L, 120e-3L),
                          Resistor<S>{supply, plate, v[first_ohms]}, Resistor<S>{cathode, ground, v[second_ohms]},
                          Capacitor<S>{plate, ground, v[farads]}, Resistor<S>{trigger, grid, v[grid_ohms]},
                          Capacitor<S>{grid, ground, v[grid_farads], v[bias]},
                          named("tube", wired(tube(v), {.plate = plate, .grid = grid, .cathode = cathode})),
                          Voltmeter<S>{plate, ground, S(1e15L)}, LevelWatch<S>{plate, ground, S(150), "back"});
}
/// Of the third pulse: when it fires and goes out, how long until the plate is back at 150 V, when the tube has
/// recovered; and the mean of the plate from the second firing to the third.
template <class Scheme, class S>
[[nodiscard]] std::vector<Reading<S>> measure_one_pulse(const Values<S>& v, const gastube::Settings<S>& settings) {
  auto run = gastube::start<Scheme>(one_pulse(v), settings);
  EventLog<S> log;
  std::array<S, 2> areas{}, times{};
  for (std::size_t pulse = 0; pulse < 3; ++pulse) {
    while (log.count("tube", "conducting") == pulse) REQUIRE(succeeded(run.next_event(S(1), log)));
    areas[pulse % 2] = area(run);
    times[pulse % 2] = run.time();
  }
  REQUIRE(run.run_until(S(400e-3L), log) == gastube::Status::done);
  std::vector<S> out;
  for (const auto& event : log.events)
    if (std::string(event.change.from) == "conducting") out.push_back(event.time);
  const auto fired = log.times("tube", "conducting");
  const auto back = log.times("back", "above"), recovered = log.times("tube", "blocked");
  REQUIRE(fired.size() == 3);
  REQUIRE(out.size() == 3);
  REQUIRE(recovered.size() == 3);
  return {{"firing", fired.back()},
          {"extinction", out.back()},
          {"hold-off", S(back.back() - out.back())},
          {"deionised", recovered.back()},
          {"mean", S((areas[0] - areas[1]) / (times[0] - times[1]))}};
}

/// Derivatives of readings with respect to every value, by central differences of fourth order in long double.
template <class Measure>
[[nodiscard]] std::vector<std::array<long double, value_count>> differences(Measure&& measure,
                                                                            const Values<long double>& values) {
  std::vector<std::array<long double, value_count>> slopes(measure(values).size());
  for (std::size_t k = 0; k < value_count; ++k) {
    const long double h = 1e-4L * values[k];
    const auto at = [&](int steps) {
      auto moved = values;
      moved[k] += static_cast<long double>(steps) * h;
      return measure(moved);
    };
    const auto a = at(-2), b = at(-1), c = at(1), d = at(2);
    for (std::size_t n = 0; n < slopes.size(); ++n)
      slopes[n][k] = (8 * (c[n].value - b[n].value) - (d[n].value - a[n].value)) / (12 * h);
  }
  return slopes;
}
/// Each of the values with a derivative of its own.
template <class D>
[[nodiscard]] Values<D> variables(const Values<long double>& values) {
  Values<D> result;
  for (std::size_t k = 0; k < value_count; ++k) result[k] = D::variable(static_cast<double>(values[k]), k);
  return result;
}
/// Holds derivatives against differences: to `tolerance` of each, or where a change of the value by its own size would
/// move the reading by less than `unseen` of it.
template <class D>
void check_slopes(const std::vector<Reading<D>>& got, const std::vector<std::array<long double, value_count>>& expected,
                  const Values<long double>& values, long double tolerance, long double unseen) {
  REQUIRE(got.size() == expected.size());
  for (std::size_t n = 0; n < got.size(); ++n)
    for (std::size_t k = 0; k < value_count; ++k) {
      CAPTURE(std::string(got[n].name));
      CAPTURE(k);
      const long double size = std::fabs(static_cast<long double>(got[n].value.value()) / values[k]);
      const long double slope = static_cast<long double>(got[n].value.partial(k)),
                        gap = std::fabs(slope - expected[n][k]);
      CAPTURE(static_cast<double>(slope));
      CAPTURE(static_cast<double>(expected[n][k]));
      CHECK(gap < tolerance * std::fabs(expected[n][k]) + unseen * size);
    }
}

}  // namespace varied
