// SPDX-License-Identifier: MIT
// The formation of the discharge.
#include <gastube/tube/delay/firing_delay.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

#include <random>

using namespace gastube;
using closeness::relative_gap;

namespace {
template <class S>
constexpr FormativeLag<S> law{S(0.3e-6L), S(10e-6L)};
}

TEST_CASE_TEMPLATE("the formative lag is its least value plus a share that falls with overdrive", S, float, double,
                   long double) {
  const double close = 8 * double(round_off<S>);
  // By hand: 0.3 us + 10 us V / 50 V and so on.
  CHECK(relative_gap(law<S>.delay(S(50)), 0.5e-6L) < close);
  CHECK(relative_gap(law<S>.delay(S(1)), 10.3e-6L) < close);
  CHECK(relative_gap(law<S>.delay(S(1e6)), 0.3e-6L) < 1e-4);
}

TEST_CASE_TEMPLATE("without overdrive nothing forms", S, float, double, long double) {
  for (const S overdrive : {S(0), S(-1e-8L), S(-50)}) {
    CHECK(law<S>.delay(overdrive) == unlimited<S>());
    CHECK(law<S>.rate(overdrive) == S(0));
  }
  // 1e-8 V beside it: a thousand seconds, by hand 10e-6 / 1e-8.
  CHECK(relative_gap(law<S>.delay(S(1e-8L)), 1000.0L) < 1e-6);
  CHECK(relative_gap(law<S>.rate(S(1e-8L)), 1e-3L) < 1e-6);
}

TEST_CASE_TEMPLATE("at steady overdrive the rate is one over the delay", S, float, double, long double) {
  for (const S overdrive : {S(1e-3L), S(0.1L), S(1), S(50), S(1000)})
    CHECK(relative_gap(law<S>.rate(overdrive) * law<S>.delay(overdrive), 1.0L) < 1e-12 + 8 * double(round_off<S>));
}

TEST_CASE("overdrive shortens the delay and speeds the formation up") {
  const unsigned seed = 47;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> volts(0.0, 200.0);
  for (int k = 0; k < 1000; ++k) {
    const double weak = volts(random), strong = weak + volts(random);
    CHECK(law<double>.delay(strong) < law<double>.delay(weak));
    CHECK(law<double>.rate(strong) > law<double>.rate(weak));
    CHECK(law<double>.rate(strong) < 1.0 / 0.3e-6);
  }
}

TEST_CASE("a lag without overdrive term is the same at any overdrive") {
  const FormativeLag<double> fixed{2e-6, 0.0};
  CHECK(fixed.delay(1e-3) == 2e-6);
  CHECK(relative_gap(fixed.rate(1e-3), 5e5) < 1e-8);
  CHECK(relative_gap(fixed.rate(50.0), 5e5) < 1e-8);
  CHECK(fixed.rate(0.0) == 0.0);
}

TEST_CASE("only the ideal delay is instant") {
  static_assert(NoDelay<double>::instant && !FormativeLag<double>::instant);
  NoDelay<double>{}.check();
  CHECK(NoDelay<double>{}.rate(100.0) == 0.0);
}

TEST_CASE_TEMPLATE("a formative lag refuses fields out of range", S, float, double, long double) {
  refusal::check_field(law<S>, &FormativeLag<S>::least, "formative lag: least", S(1e-9), S(0));
  refusal::check_field(law<S>, &FormativeLag<S>::product, "formative lag: product", S(0), S(-1e-9));
}
