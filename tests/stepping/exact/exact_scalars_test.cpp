// SPDX-License-Identifier: MIT
// The exact scheme in float and long double.
#include <gastube/stepping/exact/exact.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/exact_circuit.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

TEST_CASE_TEMPLATE("a flasher in other scalars", S, float, long double) {
  auto run = Flasher<S>{}.circuit().start();
  EventLog<S> log;
  REQUIRE(run.run_until(S(0.02L), log) == Status::done);
  const auto fired = log.times("ideal tube", "conducting");
  REQUIRE(fired.size() == 44);
  const double round = double(round_off<S>);
  CHECK(relative_gap(fired[0], 1e-3L * std::log(250.0L / 150)) < 16 * round);
  // from 16.25 V to 100 V, with the ions all but gone, and down again with 0.5 us
  const long double rest = (250 * 50 + 16e5L) / (1e5L + 50), tau = 0.5e-6L * 1e5L / (1e5L + 50);
  const long double period = 1e-3L * std::log(233.75L / 150) + tau * std::log((100 - rest) / (16.25L - rest));
  CHECK(relative_gap(S((fired[40] - fired[1]) / S(39)), S((fired[20] - fired[1]) / S(19))) < 200 * round);
  CHECK(relative_gap(S((fired[40] - fired[1]) / S(39)), period) < 1e-6);
}

TEST_CASE_TEMPLATE("a ringing circuit in other scalars", S, float, long double) {
  // 1 mH, 1 uF, 10 ohm: growth -5000 / s
  auto run = ExactCircuit<S>{.nodes = 4,
                             .sources = {{1, 0, S(10)}},
                             .resistors = {{1, 2, S(10)}},
                             .capacitors = {{3, 0, S(1e-6L)}},
                             .inductors = {{2, 3, S(1e-3L)}}}
                 .start();
  const long double a = 5000, w = std::sqrt(1e9L - a * a);
  for (const long double t : {1e-6L, 3e-5L, 2e-4L, 1e-3L}) {
    REQUIRE(run.run_until(S(t)) == Status::done);
    const long double at = static_cast<long double>(S(t));
    const long double expected = 10 * (1 - std::exp(-a * at) * (std::cos(w * at) + a / w * std::sin(w * at)));
    CHECK(absolute_gap(voltage(run, 3), expected) < 400 * double(round_off<S>));
  }
}
