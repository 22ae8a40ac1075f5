// SPDX-License-Identifier: MIT
// Electrons from a hot, contaminated grid.
#include <gastube/adapt/dual.hpp>
#include <gastube/tube/grid/grid_emission.hpp>
#include <gastube/tube/ignition/ignition.hpp>

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
constexpr GridEmission<S> law{{S(1e4L), S(1.7L)}, S(0.5e-4L)};

}  // namespace

TEST_CASE_TEMPLATE("a hot grid emits by Richardson's law over its area", S, float, double, long double) {
  // By hand: 0.5 cm2 x 1e4 A/(m2 K2) x T^2 exp(-1.7 e / kT).
  const long double barrier = 1.7L * 1.602176634e-19L / 1.380649e-23L;
  const auto by_hand = [&](long double t) { return 0.5L * t * t * std::exp(-barrier / t); };
  // The exponent is about 30: so many round-offs in the result.
  CHECK(relative_gap(law<S>.current(S(600)), by_hand(600)) < 200 * double(round_off<S>) + 1e-8);
  CHECK(relative_gap(law<S>.current(S(800)), by_hand(800)) < 200 * double(round_off<S>) + 1e-8);
  CHECK(law<S>.current(S(0)) == S(0));
  CHECK(law<S>.current(S(300)) < S(1e-20L));  // a cold grid is quiet
}

TEST_CASE_TEMPLATE("emission rises with temperature at the stated rate, and falls with the work function", S, float,
                   double, long double) {
  using D = Dual<S, 1>;
  const GridEmission<D> of{{D(S(1e4L)), D(S(1.7L))}, D(S(0.5e-4L))};
  for (const S temperature : {S(500), S(700), S(1000)}) {
    const D current = of.current(D::variable(temperature, 0));
    CHECK(relative_gap(law<S>.rise(temperature), current.partial(0) / current.value()) < 64 * double(round_off<S>));
    CHECK(law<S>.current(S(temperature + S(10))) > law<S>.current(temperature));
    GridEmission<S> cleaner = law<S>;
    cleaner.surface.work_function = S(2);
    CHECK(cleaner.current(temperature) < law<S>.current(temperature));
  }
}

TEST_CASE_TEMPLATE("the plate collects the emission as long as it is above the grid", S, float, double, long double) {
  const S all = law<S>.current(S(800));
  CHECK(law<S>({S(100), S(-5), S(0)}, S(800)).from_plate == all);
  CHECK(law<S>({S(-3), S(-5), S(0)}, S(800)).from_plate == all);
  CHECK(relative_gap(law<S>({S(-4.75), S(-5), S(0)}, S(800)).from_plate, all / S(4)) < 4 * double(round_off<S>));
  CHECK(law<S>({S(-5), S(-5), S(0)}, S(800)).from_plate == S(0));
  CHECK(law<S>({S(-100), S(-5), S(0)}, S(800)).from_plate == S(0));
  CHECK(law<S>({S(100), S(-5), S(0)}, S(800)).to_cathode == S(0));
}

TEST_CASE("stated slopes are those of the current, which only takes power") {
  const unsigned seed = 73;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> volts(-4.0, 4.0);
  // In nanoamperes, lest differences drown.
  GridEmission<double> of = law<double>;
  of.area *= 1e9;
  for (int k = 0; k < 500; ++k) {
    const double plate = volts(random), grid = volts(random);
    CAPTURE(plate);
    CAPTURE(grid);
    const auto current = [&](double p, double g) { return of({p, g, 0.0}, 700.0).from_plate; };
    const GridPaths<double> stated = of({plate, grid, 0.0}, 700.0);
    CHECK(slopes::agrees([&](double v) { return current(v, grid); }, plate, stated.from_plate_by_plate));
    CHECK(slopes::agrees([&](double v) { return current(plate, v); }, grid, stated.from_plate_by_grid));
    CHECK(stated.from_plate * (plate - grid) >= 0.0);
  }
}

TEST_CASE("the firing point moves to more negative bias as the grid gets hot, less so with a small resistance") {
  // L. Malter and M. R. Boyd 1951, abstract: emission unsettles the firing point, low grid resistance cures it.
  const double shift = law<double>.firing_shift(700.0, 1e6);
  CHECK(relative_gap(shift, 1e6 * law<double>.current(700.0)) < 1e-14);
  CHECK(law<double>.firing_shift(750.0, 1e6) > shift);
  CHECK(relative_gap(law<double>.firing_shift(700.0, 1e4), shift / 100.0) < 1e-14);
  const double cold = critical_bias(-2.5, 0.5e-6, 1e6);
  CHECK(relative_gap(critical_bias(-2.5, 0.5e-6 + law<double>.current(700.0), 1e6), cold - shift) < 1e-14);
}

TEST_CASE_TEMPLATE("the temperature for a shift gives that shift", S, float, double, long double) {
  for (const S shift : {S(0.01L), S(1), S(20)}) {
    const S temperature = law<S>.temperature_for(shift, S(1e6L));
    CAPTURE(temperature);
    CHECK(relative_gap(law<S>.firing_shift(temperature, S(1e6L)), shift) < 500 * double(round_off<S>));
  }
}

TEST_CASE_TEMPLATE("grid emission refuses fields out of range", S, float, double, long double) {
  using Law = GridEmission<S>;
  refusal::check_field(law<S>, &Law::area, "grid emission: area", S(0), S(-1e-9));
  Law no_barrier = law<S>;
  no_barrier.surface.work_function = S(0);
  CHECK(refusal::of([&] { no_barrier.check(); }) == "emitting surface: work_function");
  CHECK(refusal::of([] { (void)law<S>.current(S(-1)); }) == "emitting surface: temperature");
  CHECK(refusal::of([] { (void)law<S>.rise(S(0)); }) == "grid emission: temperature");
  CHECK(refusal::of([] { (void)law<S>.firing_shift(S(700), S(-1)); }) == "grid emission: resistance");
  CHECK(refusal::of([] { (void)law<S>.temperature_for(S(0), S(1)); }) == "grid emission: shift");
  CHECK(refusal::of([] { (void)law<S>.temperature_for(S(1), S(0)); }) == "grid emission: resistance");
}
