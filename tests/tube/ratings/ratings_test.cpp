// SPDX-License-Identifier: MIT
// Absolute maximum ratings as values.
#include <gastube/tube/ratings/ratings.hpp>

#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

using namespace gastube;

TEST_CASE_TEMPLATE("ratings that are not given do not limit, and pass the check", S, float, double, long double) {
  const Ratings<S> none;
  none.check();
  for (const S limit :
       {none.peak_forward, none.peak_inverse, none.peak_current, none.average_current, none.fault_current,
        none.grid_negative_before, none.grid_negative_during, none.shield_negative_before, none.shield_negative_during,
        none.grid_current, none.grid_resistance, none.heater_positive, none.heater_negative, none.ambient_high})
    CHECK_FALSE(is_limited(limit));
  CHECK(is_limited(none.averaging_time));
  CHECK(none.heating_time == S(0));
}

TEST_CASE_TEMPLATE("ratings refuse every field out of range", S, float, double, long double) {
  using R = Ratings<S>;
  const R none;
  refusal::check_field(none, &R::peak_forward, "ratings: peak_forward", S(1), S(0));
  refusal::check_field(none, &R::peak_inverse, "ratings: peak_inverse", S(1), S(0));
  refusal::check_field(none, &R::peak_current, "ratings: peak_current", S(1), S(0));
  refusal::check_field(none, &R::average_current, "ratings: average_current", S(1), S(0));
  refusal::check_field(none, &R::averaging_time, "ratings: averaging_time", S(1), S(0));
  refusal::check_field(none, &R::fault_current, "ratings: fault_current", S(1), S(0));
  refusal::check_field(none, &R::fault_time, "ratings: fault_time", S(1), S(0));
  refusal::check_field(none, &R::grid_negative_before, "ratings: grid_negative_before", S(0), S(-1));
  refusal::check_field(none, &R::grid_negative_during, "ratings: grid_negative_during", S(0), S(-1));
  refusal::check_field(none, &R::shield_negative_before, "ratings: shield_negative_before", S(0), S(-1));
  refusal::check_field(none, &R::shield_negative_during, "ratings: shield_negative_during", S(0), S(-1));
  refusal::check_field(none, &R::grid_current, "ratings: grid_current", S(0), S(-1));
  refusal::check_field(none, &R::grid_resistance, "ratings: grid_resistance", S(1), S(0));
  refusal::check_field(none, &R::heater_positive, "ratings: heater_positive", S(0), S(-1));
  refusal::check_field(none, &R::heater_negative, "ratings: heater_negative", S(0), S(-1));
  refusal::check_field(none, &R::heating_time, "ratings: heating_time", S(0), S(-1));
  refusal::check_field(none, &R::ambient_low, "ratings: ambient_low", S(-273), S(-274));
  refusal::check_field(none, &R::ambient_high, "ratings: ambient_high", S(90), S(-273));
}

TEST_CASE("the warmest ambient lies above the coldest") {
  Ratings<double> ratings;
  ratings.ambient_low = 20.0;
  ratings.ambient_high = 20.0;
  CHECK(refusal::of([&] { ratings.check(); }) == "ratings: ambient_high");
  ratings.ambient_high = 20.1;
  CHECK(refusal::of([&] { ratings.check(); }) == "accepted");
}

TEST_CASE("the fields checked above are all there are") { CHECK(sizeof(Ratings<double>) == 18 * sizeof(double)); }
