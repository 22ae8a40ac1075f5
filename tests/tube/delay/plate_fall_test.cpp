// SPDX-License-Identifier: MIT
#include "gastube/tube/delay/plate_fall.hpp"

#include "fidelity/check_rows.hpp"
#include "fidelity/delay_rows.hpp"
#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;

TEST_CASE_TEMPLATE("a plate fall starts at the voltage above the arc drop", S, float, double, long double) {
  const PlateFall<S> fall{S(50e-9)};
  CHECK_FALSE(fall.instant());
  CHECK(fall.start(S(48), S(8)) == S(40));
  CHECK(fall.start(S(8), S(8)) == S(0));
  CHECK(fall.start(S(5), S(8)) == S(0));  // never below the arc drop
  CHECK(fall.decay() * S(50e-9) == closeness::relative(1.0));
}

TEST_CASE("a time constant of 0 falls in an instant") {
  const PlateFall<double> fall{};
  CHECK(fall.instant());
  CHECK(fall.start(48, 8) == 0);
  CHECK(fall.decay() == 0);
}

TEST_CASE("a plate fall refuses a negative or unknown time constant by name") {
  CHECK_THROWS_WITH_AS(PlateFall<double>{-1e-9}.check(), doctest::Contains("plate fall: time_constant = -1e-09 s"),
                       InvalidParameter);
  CHECK_THROWS_WITH_AS(PlateFall<double>{std::nan("")}.check(), doctest::Contains("time_constant"), InvalidParameter);
}

TEST_CASE("falls in hydrogen last as long as published") { check_rows(published::delays::plate_fall); }

TEST_CASE_TEMPLATE("from 90 to 10 % takes ln 9 time constants", S, float, double, long double) {
  CHECK(closeness::relative_gap(PlateFall<S>{S(2)}.fall_time(), 4.39444915467243876558L) < 8 * double(round_off<S>));
  CHECK(PlateFall<S>{}.fall_time() == S(0));
}
