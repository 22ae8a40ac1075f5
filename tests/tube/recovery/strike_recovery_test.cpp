// SPDX-License-Identifier: MIT
#include <gastube/tube/recovery/strike_recovery.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {

template <class S>
constexpr StrikeRecovery<S> law{S(0.5e-3L), S(10e-3L)};

}  // namespace

TEST_CASE_TEMPLATE("while lit the residual settles at the current's share of the reference, at most at 1", S, float,
                   double, long double) {
  const double close = 8 * double(round_off<S>);
  CHECK(relative_gap(law<S>.source_lit(S(2.5e-3L)) / law<S>.decay(), 0.25L) < close);
  CHECK(relative_gap(law<S>.source_lit(S(10e-3L)) / law<S>.decay(), 1.0L) < close);
  CHECK(law<S>.source_lit(S(1e6)) == law<S>.source_lit(S(10e-3L)));
  CHECK(law<S>.source_lit(S(-1)) == S(0));
  CHECK(law<S>.source_out(S(-50)) == S(0));
  CHECK(law<S>.at_extinction(S(0.3L)) == S(0.3L));
}

TEST_CASE_TEMPLATE("what the residual leaves of the strike voltage lies between none and all", S, float, double,
                   long double) {
  CHECK(law<S>.control(S(0), S(-50)) == S(1));
  CHECK(law<S>.control(S(0.25), S(0)) == S(0.75));
  CHECK(law<S>.control(S(1), S(0)) == S(0));
  CHECK(law<S>.control(S(1e6), S(0)) == S(0));
  CHECK(law<S>.control(S(-1e-6L), S(0)) == S(1));
  CHECK(law<S>.left(S(1.01e-3L)) > S(0));
  CHECK(law<S>.left(S(0.99e-3L)) < S(0));
}

TEST_CASE_TEMPLATE("from a published deionisation time: then, and not before, the gap holds that voltage", S, float,
                   double, long double) {
  // Floor 70 V, full 225 V, holds 200 V after 0.5 ms: 1 - exp(-0.5 ms / tau) = 130 / 155, by hand
  const auto recovery = recovery_to(S(0.5e-3L), S(200), S(70), S(225), S(25e-3L));
  const double close = 64 * double(round_off<S>);
  CHECK(relative_gap(recovery.time_constant, -0.5e-3L / std::log(1.0L - 130.0L / 155.0L)) < close);
  const S residual = math::exp(S(S(-0.5e-3L) * recovery.decay()));
  CHECK(relative_gap(S(S(70) + recovery.control(residual, S(0)) * S(155)), 200.0L) < close);
  CHECK(relative_gap(recovery.time_to(S(130.0L / 155.0L)), 0.5e-3L) < close);
  CHECK(recovery.time_to(S(0)) == S(0));
}

TEST_CASE("control falls with the residual, and more share takes more time") {
  const unsigned seed = 86;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  for (int k = 0; k < 1000; ++k) {
    const double a = unit(random), b = a + 0.5 * (1 - a) * unit(random);
    CHECK(law<double>.control(b, 0.0) <= law<double>.control(a, 0.0));
    CHECK(law<double>.time_to(b) >= law<double>.time_to(a));
  }
}

TEST_CASE_TEMPLATE("the recovery of the strike voltage refuses fields out of range", S, float, double, long double) {
  using Law = StrikeRecovery<S>;
  refusal::check_field(law<S>, &Law::time_constant, "strike recovery: time_constant", S(1e-9L), S(0));
  refusal::check_field(law<S>, &Law::reference_current, "strike recovery: reference_current", S(1e-9L), S(0));
  refusal::check_field(law<S>, &Law::negligible, "strike recovery: negligible", S(0.1L), S(1));
  refusal::check_field(law<S>, &Law::negligible, "strike recovery: negligible", S(0.1L), S(0));
  const auto made = [](S time, S held, S floor, S full) {
    return refusal::of([&] { static_cast<void>(recovery_to(time, held, floor, full, S(1e-3L))); });
  };
  CHECK(made(S(1e-3L), S(200), S(70), S(225)) == "accepted");
  CHECK(made(S(0), S(200), S(70), S(225)) == "strike recovery: time");
  CHECK(made(S(1e-3L), S(70), S(70), S(225)) == "strike recovery: held");
  CHECK(made(S(1e-3L), S(225), S(70), S(225)) == "strike recovery: full");
  CHECK(refusal::of([] { static_cast<void>(law<S>.time_to(S(1))); }) == "strike recovery: share");
  CHECK(refusal::of([] { static_cast<void>(law<S>.time_to(S(-0.1L))); }) == "strike recovery: share");
}
