// SPDX-License-Identifier: MIT
#include <gastube/tube/recovery/exponential_recovery.hpp>

#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;

TEST_CASE_TEMPLATE("control comes back as the residual dies away", S, float, double, long double) {
  const ExponentialRecovery<S> law{S(50e-6L)};
  law.check();
  CHECK(law.at_extinction(S(0.3)) == S(1));
  CHECK(law.control(S(1), S(-5)) == S(0));
  CHECK(law.control(S(0.25), S(-5)) == S(0.75));
  CHECK(law.control(S(0), S(5)) == S(1));
  CHECK(law.source_lit(S(3)) == S(0));
  CHECK(law.source_out(S(-3)) == S(0));
  CHECK(law.decay() * S(50e-6L) == doctest::Approx(1));
  CHECK(law.left(S(0.002L)) > S(0));
  CHECK(law.left(S(0.0005L)) < S(0));
}

TEST_CASE("the time to a share of the hold-off is that of the exponential") {
  const ExponentialRecovery<double> whole{50e-6}, part{50e-6, 0.4};
  CHECK(whole.time_to(0.5) == doctest::Approx(50e-6 * std::log(2.0)).epsilon(1e-14));
  CHECK(part.time_to(0.8) == doctest::Approx(50e-6 * std::log(2.0)).epsilon(1e-14));
  CHECK(part.time_to(0.6) == doctest::Approx(0.0));
  CHECK(part.time_to(0.2) == 0.0);
  const double left = 0.4 * std::exp(-part.time_to(0.9) / 50e-6);
  CHECK(part.control(left, 0.0) == doctest::Approx(0.9).epsilon(1e-14));
}

TEST_CASE("parameters out of range are refused") {
  const auto answer = [](double time, double start, double negligible) {
    return refusal::of([&] { ExponentialRecovery<double>{time, start, negligible}.check(); });
  };
  CHECK(answer(1e-6, 1, 1e-3) == "accepted");
  CHECK(answer(0, 1, 1e-3) == "exponential recovery: time_constant");
  CHECK(answer(1e-6, 1, 0) == "exponential recovery: negligible");
  CHECK(answer(1e-6, 1.1, 1e-3) == "exponential recovery: start");
  CHECK(answer(1e-6, 1e-3, 1e-3) == "exponential recovery: start");
  CHECK(refusal::of([] { static_cast<void>(ExponentialRecovery<double>{1e-6}.time_to(1.0)); })
        == "exponential recovery: share");
}
