// SPDX-License-Identifier: MIT
// Storage counter: pulses of 100 V through 1 nF and two one-way valves step 10 nF up, until a tube across it fires at
// 60 V. Formula: handbooks of the trade, from memory (B. Chance et al., Waveforms); numbers worked for this library.
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/diode.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/tube/family/ideal.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/energy_check.hpp"
#include "support_for_tests/event_log.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;
using closeness::relative_gap;

namespace {

enum { ground, input, middle, store, bias, node_count };

/// A scheme, and how near it must come to values of nine digits and of six.
template <class S>
struct Way {
  using Scheme = S;
  double digits, six;
};
struct ByExact : Way<Exact> {
  ByExact() : Way<Exact>{1e-8, 1e-5} {}
};
struct ByTrBdf2 : Way<TrBdf2> {
  ByTrBdf2() : Way<TrBdf2>{1e-4, 1e-4} {}
};

template <class Scheme>
[[nodiscard]] auto counter(double start) {
  const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = 16, .sustaining_current = 1e-3}.build();
  const PulseSource<double> pulses(
      input, ground, {.low = 0, .high = 100, .delay = 1e-3, .width = 4e-4, .period = 1e-3, .rise = 1e-5, .fall = 1e-5});
  return gastube::start<Scheme>(wire<node_count>(pulses, DcSource{bias, ground, -3.0}, Capacitor{input, middle, 1e-9},
                                                 Capacitor{store, ground, 10e-9, start}, Diode<double>{middle, store},
                                                 Diode<double>{ground, middle},
                                                 wired(tube, {.plate = store, .grid = bias, .cathode = ground})));
}

}  // namespace

TEST_CASE_TEMPLATE("each pulse takes the store a step nearer to 100 V: ten fire the tube from 0 V, eight from 16 V", W,
                   ByExact, ByTrBdf2) {
  const W way;
  for (const auto& [volts, pulses] : {std::pair{0.0, 10}, {16.0, 8}}) {
    const double from = volts;  // a binding cannot be captured
    CAPTURE(from);
    auto run = counter<typename W::Scheme>(from);
    EventLog<double> log;
    const double r = 10.0 / 11;
    for (int n = 1; n < pulses; ++n) {
      REQUIRE(run.run_until(1e-3 * n + 3e-4, log) == Status::done);
      CHECK(relative_gap(voltage(run, store), 100 - (100 - from) * std::pow(r, n)) < way.digits);
    }
    CHECK(relative_gap(voltage(run, store), from > 0 ? 56.8947 : 57.5902) < way.six);
    CHECK(log.count("ideal tube", "conducting") == 0);
    REQUIRE(run.run_until(1e-3 * pulses + 3e-4, log) == Status::done);
    CHECK(log.count("ideal tube", "conducting") == 1);
    if constexpr (std::same_as<typename W::Scheme, Exact>)
      check_energy(run, 1e-3 * pulses + 3e-4);
    else
      check_energy(run, 1e-3 * pulses + 3e-4, 1e-4);
  }
}
