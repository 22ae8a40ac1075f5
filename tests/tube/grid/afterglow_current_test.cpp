// SPDX-License-Identifier: MIT
// Ions of the dying discharge into a negative plate.
#include <gastube/adapt/dual.hpp>
#include <gastube/tube/grid/afterglow_current.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"
#include "support_for_tests/slopes.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

using namespace gastube;
using closeness::relative_gap;

namespace {

template <class S>
constexpr AfterglowCurrent<S> law{S(Plain<S>(2e-3L))};

}  // namespace

TEST_CASE("the ideal plate draws no inverse current") {
  const NoAfterglowCurrent<double> none;
  none.check();
  CHECK(none(-500.0, 1.0).current == 0.0);
  CHECK(none(-0.5, 1.0).by_plate == 0.0);
}

TEST_CASE_TEMPLATE("a negative plate takes the ions that are left, whatever its voltage", S, float, double,
                   long double) {
  const double close = 4 * double(round_off<S>);
  CHECK(relative_gap(law<S>(S(-1), S(1)).current, -2e-3L) < close);
  CHECK(relative_gap(law<S>(S(-1000), S(1)).current, -2e-3L) < close);
  CHECK(relative_gap(law<S>(S(-1000), S(0.125)).current, -0.25e-3L) < close);
  CHECK(law<S>(S(-1000), S(0)).current == S(0));
  CHECK(law<S>(S(-1000), S(-1e-6L)).current == S(0));  // a residual that ran a little below nothing
}

TEST_CASE_TEMPLATE("the current fades in over the first volt, and a positive plate draws none", S, float, double,
                   long double) {
  CHECK(relative_gap(law<S>(S(-0.25), S(1)).current, -0.5e-3L) < 4 * double(round_off<S>));
  for (const S plate : {S(0), S(-0.0), S(1e-9L), S(8), S(600)}) {
    CHECK(law<S>(plate, S(1)).current == S(0));
    CHECK(law<S>(plate, S(1)).by_plate == S(0));
  }
}

TEST_CASE_TEMPLATE("the stated slope is that of the current", S, float, double, long double) {
  const unsigned seed = 71;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> volts(-3.0, 1.0), share(0.0, 2.0);
  for (int k = 0; k < 500; ++k) {
    const S plate = S(volts(random)), residual = S(share(random));
    CAPTURE(plate);
    const SlopedCurrent<S> stated = law<S>(plate, residual);
    CHECK(slopes::agrees([&](S v) { return law<S>(v, residual).current; }, plate, stated.by_plate));
    CHECK(stated.by_grid == S(0));
    CHECK(stated.by_shield == S(0));
    CHECK(stated.current * plate >= S(0));  // it takes power, and never gives any
    CHECK(stated.by_plate >= S(0));
  }
}

TEST_CASE("wild voltages and residuals give finite currents and derivatives") {
  using D = Dual<double, 2>;
  for (const double plate : {1e6, -1e6, 0.0, -0.0, 1e-300, -1e-300})
    for (const double residual : {1e6, -1e6, 0.0, 1e-300}) {
      const SlopedCurrent<D> result = law<D>(D::variable(plate, 0), D::variable(residual, 1));
      CHECK(std::isfinite(result.current.value()));
      CHECK(std::isfinite(result.current.partial(0)));
      CHECK(std::isfinite(result.current.partial(1)));
      CHECK(result.current.partial(0) == result.by_plate.value());
    }
}

TEST_CASE_TEMPLATE("the afterglow current refuses less than no ions", S, float, double, long double) {
  refusal::check_field(law<S>, &AfterglowCurrent<S>::ions_per_residual, "afterglow current: ions_per_residual", S(0),
                       S(-1e-9));
}
