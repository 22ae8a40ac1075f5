// SPDX-License-Identifier: MIT
// Warm-up of the cathode.
#include <gastube/tube/cathode/cathode.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

using namespace gastube;
using closeness::relative_gap;

namespace {
template <class S>
constexpr WarmingCathode<S> law{S(10), S(4)};
}

TEST_CASE_TEMPLATE("a ready cathode emits fully and waits for nothing", S, float, double, long double) {
  const ReadyCathode<S> ready;
  ready.check();
  CHECK(ready.emission(S(0)) == S(1));
  CHECK(ready.emission(S(-5)) == S(1));
  CHECK(ready.heating_time() == S(0));
}

TEST_CASE_TEMPLATE("a warming cathode nears full emission with its time constant", S, float, double, long double) {
  const double close = 8 * double(round_off<S>);
  // 1 - 1/e and 1 - 1/e^3, constants from mathematical tables.
  CHECK(relative_gap(law<S>.emission(S(4)), 0.632120558828557678404476L) < close);
  CHECK(relative_gap(law<S>.emission(S(12)), 0.950212931632136057016L) < close);
  CHECK(law<S>.emission(S(4000)) == S(1));
  CHECK(law<S>.heating_time() == S(10));
}

TEST_CASE_TEMPLATE("before it is heated a cathode does not emit", S, float, double, long double) {
  CHECK(law<S>.emission(S(0)) == S(0));
  CHECK(law<S>.emission(S(-100)) == S(0));
  CHECK(law<S>.emission(S(1e-3L)) > S(0));
  CHECK(relative_gap(law<S>.emission(S(1e-3L)), 0.25e-3L) < 1e-3);
}

TEST_CASE("emission only grows while the heater is on") {
  for (double heated = 0.0; heated < 30.0; heated += 0.1)
    CHECK(law<double>.emission(heated + 0.1) > law<double>.emission(heated));
}

TEST_CASE_TEMPLATE("a cathode refuses fields out of range", S, float, double, long double) {
  refusal::check_field(law<S>, &WarmingCathode<S>::heating, "cathode: heating", S(0), S(-1e-8));
  refusal::check_field(law<S>, &WarmingCathode<S>::time_constant, "cathode: time_constant", S(1e-8), S(0));
}
