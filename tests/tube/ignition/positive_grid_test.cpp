// SPDX-License-Identifier: MIT
// Ignition of hydrogen pulse tubes.
#include <gastube/adapt/dual.hpp>
#include <gastube/tube/ignition/positive_grid.hpp>

#include "fidelity/check_rows.hpp"
#include "fidelity/hydrogen_rows.hpp"
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
constexpr PositiveGrid<S> law{S(120), S(12e3), S(300)};
}

TEST_CASE("the published tubes hold off their rated peak at zero grid and fire by their trigger") {
  check_rows(published::pulses::positive_grid);
}

TEST_CASE_TEMPLATE("the critical grid falls in a line to zero at the self-breakdown voltage", S, float, double,
                   long double) {
  const double close = 8 * double(round_off<S>);
  CHECK(relative_gap(law<S>.critical_grid(S(3e3)), 90.0L) < close);  // by hand: 120 (1 - 3/12)
  CHECK(relative_gap(law<S>.critical_grid(S(300)), 117.0L) < close);
  CHECK(law<S>.critical_grid(S(12e3)) == S(0));
  CHECK(law<S>.critical_grid(S(11999)) > S(0));
  // Beyond: a volt of bias for each volt of plate.
  CHECK(law<S>.critical_grid(S(12e3 + 50)) == S(-50));
}

TEST_CASE_TEMPLATE("below the least plate voltage no grid fires", S, float, double, long double) {
  for (const S plate : {S(299.9), S(0), S(-0.0), S(1e-8), S(-5e3)})
    CHECK(law<S>.critical_grid(plate) == never_fires<S>);
}

TEST_CASE_TEMPLATE("the inverse gives the plate voltage that a trigger fires", S, float, double, long double) {
  // Round-off of 0 to 120 V of grid counts 100 times on the plate.
  const double close = 1e-8 + 100 * 120 * 8 * double(round_off<S>);
  CHECK(absolute_gap(critical_plate(law<S>, S(60)), 6e3L) < close);
  CHECK(absolute_gap(critical_plate(law<S>, S(0)), 12e3L) < close);
  CHECK(absolute_gap(critical_plate(law<S>, S(200)), 300.0L) < close);
  CHECK(absolute_gap(critical_plate(law<S>, S(-100)), 12.1e3L) < close);
}

TEST_CASE("more plate voltage never makes firing harder, whatever the constants") {
  const unsigned seed = 821;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> share(0.0, 1.0);
  for (int k = 0; k < 2000; ++k) {
    const double least = 500 * share(random);
    const PositiveGrid<double> tube{1 + 200 * share(random), least + 1 + 2e4 * share(random), least};
    tube.check();
    const double plate = 3e4 * share(random) - 1e3, more = plate + 1e3 * share(random);
    CAPTURE(plate);
    CAPTURE(more);
    CHECK(tube.critical_grid(more) <= tube.critical_grid(plate));
    // Zero grid holds off everything below self-breakdown.
    CHECK((tube.critical_grid(plate) > 0.0) == (plate < tube.self_breakdown));
  }
}

TEST_CASE("values and derivatives stay finite for wild input") {
  using D = Dual<double, 1>;
  const PositiveGrid<D> tube{D(120), D(12e3), D(0)};
  for (const double plate : {1e6, -1e6, 0.0, -0.0, 1e-300, 12e3}) {
    CAPTURE(plate);
    const D critical = tube.critical_grid(D::variable(plate, 0));
    CHECK(std::isfinite(critical.value()));
    CHECK(std::isfinite(critical.partial(0)));
  }
  CHECK(relative_gap(tube.critical_grid(D::variable(5e3, 0)).partial(0), -0.01) < 1e-14);
}

TEST_CASE_TEMPLATE("a positive grid refuses fields out of range", S, float, double, long double) {
  using L = PositiveGrid<S>;
  refusal::check_field(law<S>, &L::grid_breakdown, "positive grid: grid_breakdown", S(1), S(0));
  refusal::check_field(law<S>, &L::least_plate, "positive grid: least_plate", S(0), S(-1));
  refusal::check_field(law<S>, &L::self_breakdown, "positive grid: self_breakdown", S(301), S(300));
}
