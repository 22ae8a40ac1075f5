// SPDX-License-Identifier: MIT
// Arc drop in mercury vapour.
#include <gastube/adapt/dual.hpp>
#include <gastube/tube/arc/vapour_drop.hpp>

#include "fidelity/arc_rows.hpp"
#include "fidelity/check_rows.hpp"
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
constexpr VapourDrop<S> law{S(2), S(15), S(0.5), S(1.5), S(2), S(10)};
}

TEST_CASE("drops of mercury tubes agree with what is published of them") { check_rows(published::arcs::vapour_drop); }

TEST_CASE_TEMPLATE("the drop falls by its amount for each e-fold of pressure, down to the least", S, float, double,
                   long double) {
  const double close = 16 * double(round_off<S>);
  const auto at = [](S pressure, S current) {
    VapourDrop<S> changed = law<S>;
    changed.pressure = pressure;
    return changed.voltage(current);
  };
  CHECK(at(S(2), S(0)) == S(15));
  CHECK(at(S(2), S(2)) == S(16));
  // By hand, with ln 2 from mathematical tables.
  CHECK(relative_gap(at(S(4), S(0)), 15 - 1.5L * 0.693147180559945309417L) < close);
  CHECK(relative_gap(at(S(1), S(2)), 16 + 1.5L * 0.693147180559945309417L) < close);
  CHECK(at(S(200), S(0)) == S(10));  // 8.1 V by the logarithm
  CHECK(at(S(200), S(2)) == S(11));
  CHECK(law<S>.slope(S(3)) == S(0.5));
}

TEST_CASE("by default 15 V at 40 degrees Celsius, 4 V less at 80") {
  CHECK(absolute_gap(mercury_drop(313.15).voltage(0.0), 15.0) < 1e-4);
  // By hand: 1.5 V times ln(12.23188 / 0.855067).
  CHECK(absolute_gap(mercury_drop(353.15).voltage(0.0), 15.0 - 1.5 * 2.66064) < 1e-4);
  CHECK(mercury_drop(500.0).voltage(0.0) == 10.0);
}

TEST_CASE("the drop falls with temperature and never with current") {
  const unsigned seed = 881;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> share(0.0, 1.0);
  for (int k = 0; k < 1000; ++k) {
    const double kelvin = 250 + 150 * share(random), current = 20 * share(random);
    VapourDrop<double> arc{mercury_vapour::pressure(kelvin), 10 + 10 * share(random), share(random), 3 * share(random)};
    arc.check();
    CAPTURE(kelvin);
    CAPTURE(current);
    const double drop = arc.voltage(current);
    CHECK(arc.voltage(current + share(random)) >= drop);
    CHECK(drop >= arc.least);
    arc.pressure = mercury_vapour::pressure(kelvin + 1.0);
    CHECK(arc.voltage(current) <= drop);
    if (arc.voltage(0.0) > arc.least && arc.per_fold > 1e-6) CHECK(arc.voltage(current) < drop);
  }
}

TEST_CASE("values and derivatives stay finite for wild input") {
  using D = Dual<double, 2>;
  for (const double pressure : {1e-6, 0.855067, 2.0, 1e6})
    for (const double current : {1e6, -1e6, 0.0, -0.0, 1e-300}) {
      CAPTURE(pressure);
      CAPTURE(current);
      VapourDrop<D> arc{D::variable(pressure, 1)};
      arc.resistance = D(0.5);
      const D drop = arc.voltage(D::variable(current, 0));
      CHECK(std::isfinite(drop.value()));
      CHECK(drop.partial(0) == 0.5);
      CHECK(relative_gap(drop.partial(1) - 1.0, (pressure > 100 ? 0.0 : -1.5 / pressure) - 1.0) < 1e-9);
    }
}

TEST_CASE_TEMPLATE("a vapour drop refuses fields out of range", S, float, double, long double) {
  using L = VapourDrop<S>;
  refusal::check_field(law<S>, &L::pressure, "vapour drop: pressure", S(1), S(0));
  refusal::check_field(law<S>, &L::pressure, "vapour drop: pressure", S(1), S(2e6));
  refusal::check_field(law<S>, &L::drop, "vapour drop: drop", S(1), S(0));
  refusal::check_field(law<S>, &L::resistance, "vapour drop: resistance", S(0), S(-1e-9));
  refusal::check_field(law<S>, &L::per_fold, "vapour drop: per_fold", S(0), S(-1e-9));
  refusal::check_field(law<S>, &L::reference_pressure, "vapour drop: reference_pressure", S(1), S(0));
  refusal::check_field(law<S>, &L::least, "vapour drop: least", S(1), S(0));
  CHECK(refusal::of([] { return mercury_drop(S(200)); }) == "mercury vapour: temperature");
  CHECK(refusal::of([] { return mercury_drop(S(1000)); }) == "vapour drop: pressure");
  CHECK(refusal::of([] { return mercury_drop(S(750)); }) == "accepted");
}
