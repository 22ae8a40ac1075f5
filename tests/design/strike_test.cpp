// SPDX-License-Identifier: MIT
#include "gastube/adapt/dual.hpp"
#include "gastube/catalogue/xenon.hpp"
#include "gastube/design/strike.hpp"

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <random>

using namespace gastube;
using namespace gastube::design;

TEST_CASE("the published relay points of the 5727 hold and fire over the whole band") {
  // 400 V rms: -6 V behind 1 megohm holds off, a 6 V signal fires (tube handbooks, from memory).
  const auto a = strike<double>(catalogue::data_5727, {.plate = 566, .rest = {-6, 1e6}, .set = {0, 1e6}});
  CHECK(a.possible);
  CHECK(a.hold_margin > 0);
  CHECK(a.fire_margin > 0);
}

TEST_CASE("a larger grid resistor wants more negative bias, by the critical grid current") {
  // 0.5 uA in 10 megohm is 5 V: arithmetic on the handbook figure.
  const StrikeQuestion<double> without{.plate = 300, .rest = {-6, 0}, .set = {3, 0}};
  StrikeQuestion<double> with = without;
  with.rest.resistance = 10e6;
  const auto a = strike(catalogue::data_5727, without), b = strike(catalogue::data_5727, with);
  CHECK(a.earliest_drive - b.earliest_drive == closeness::relative(5.0).epsilon(1e-12));
}

TEST_CASE("no grid voltage strikes xenon at 12 V") {
  const auto a = strike<double>(catalogue::data_5727, {.plate = 12, .rest = {-6, 1e5}, .set = {10, 1e4}});
  CHECK_FALSE(a.possible);
  CHECK(a.fire_margin < 0);
  CHECK(a.least_plate > 12.13);
  CHECK(a.least_plate < 25);
}

TEST_CASE("least and greatest plate voltage are where the margins vanish") {
  StrikeQuestion<double> q{.plate = 48, .rest = {-4, 1e5}, .set = {1, 1e4}};
  const auto a = strike(catalogue::data_5727, q);
  q.plate = a.least_plate;
  CHECK(strike(catalogue::data_5727, q).fire_margin == doctest::Approx(0.0).scale(1).epsilon(1e-5));
  q.plate = a.greatest_plate;
  CHECK(strike(catalogue::data_5727, q).hold_margin == doctest::Approx(0.0).scale(1).epsilon(1e-5));
}

TEST_CASE("trends: a higher plate, a more positive shield and a more positive drive all make ignition easier") {
  const unsigned seed = 4711;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> plate(16, 600), shield(-3, 3), drive(-1, 8), step(0.01, 2);
  for (int k = 0; k < 200; ++k) {
    StrikeQuestion<double> q{
        .plate = plate(random), .rest = {-6, 1e5}, .set = {drive(random), 1e4}, .shield = shield(random)};
    const auto before = strike(catalogue::data_2050_a, q);
    auto more = q;
    more.plate += 10 * step(random);
    CHECK(strike(catalogue::data_2050_a, more).fire_margin > before.fire_margin);
    more = q;
    more.shield += step(random);
    CHECK(strike(catalogue::data_2050_a, more).fire_margin > before.fire_margin);
    CHECK(strike(catalogue::data_2050_a, more).hold_margin < before.hold_margin);
    more = q;
    more.set.voltage += step(random);
    CHECK(strike(catalogue::data_2050_a, more).fire_margin > before.fire_margin);
  }
}

TEST_CASE("margins carry exact derivatives") {
  using D = Dual<double, 2>;
  const StrikeQuestion<D> q{D::variable(48.0, 0), {D(-6.0), D::variable(1e5, 1)}, {D(3.0), D(1e4)}};
  const auto a = strike(catalogue::data_5727, q);
  const auto margin = [](double volts, double ohms) {
    return strike<double>(catalogue::data_5727, {.plate = volts, .rest = {-6, ohms}, .set = {3, 1e4}}).hold_margin;
  };
  CHECK(a.hold_margin.value() == closeness::relative(margin(48, 1e5)).epsilon(1e-12));
  CHECK(a.hold_margin.partial(0)
        == closeness::relative((margin(48.01, 1e5) - margin(47.99, 1e5)) / 0.02).epsilon(1e-5));
  CHECK(a.hold_margin.partial(1) == closeness::relative(-0.5e-6).epsilon(1e-9));
}

TEST_CASE("a strike question refuses what has no meaning, by name") {
  CHECK_THROWS_WITH_AS(
      static_cast<void>(strike<double>(catalogue::data_5727, {.plate = -1, .rest = {-6, 1e5}, .set = {3, 1e4}})),
      doctest::Contains("strike question: plate = -1 V"), InvalidParameter);
  CHECK_THROWS_WITH_AS(
      static_cast<void>(strike<double>(catalogue::data_5727, {.plate = 48, .rest = {-6, -1}, .set = {3, 1e4}})),
      doctest::Contains("resting grid drive: resistance"), InvalidParameter);
  CHECK_THROWS_WITH_AS(static_cast<void>(strike<double>(catalogue::data_5727,
                                                        {.plate = 48, .rest = {-6, 1}, .set = {std::nan(""), 1e4}})),
                       doctest::Contains("set grid drive: voltage = nan"), InvalidParameter);
}
