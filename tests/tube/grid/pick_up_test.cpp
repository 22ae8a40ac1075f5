// SPDX-License-Identifier: MIT
// The plate's steps and slopes on the grid.
#include <gastube/tube/grid/pick_up.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

using namespace gastube;
using closeness::relative_gap;

namespace {

// A fifth of a step gets through; 1 Mohm x 10 pF = 10 us.
template <class S>
constexpr GridPickUp<S> grid{S(2e-12L), S(10e-12L), S(1e6L)};

}  // namespace

TEST_CASE_TEMPLATE("a fast step is divided by the capacitances", S, float, double, long double) {
  CHECK(relative_gap(grid<S>.step(S(300)), 60.0L) < 8 * double(round_off<S>));
  CHECK(relative_gap(grid<S>.step(S(-300)), -60.0L) < 8 * double(round_off<S>));
  CHECK(relative_gap(grid<S>.time_constant(), 10e-6L) < 8 * double(round_off<S>));
}

TEST_CASE_TEMPLATE("a ramp lifts the grid to the drop of the charging current, exponentially", S, float, double,
                   long double) {
  const double close = 32 * double(round_off<S>);
  // Closed form, worked here: 1e6 V/s x 2 pF x 1 Mohm = 2 V in the end.
  CHECK(relative_gap(grid<S>.ramp(S(1e6L), S(10e-6L)), 2 * (1 - std::exp(-1.0L))) < close);
  CHECK(relative_gap(grid<S>.ramp(S(1e6L), S(25e-6L)), 2 * (1 - std::exp(-2.5L))) < close);
  CHECK(grid<S>.ramp(S(1e6L), S(0)) == S(0));
  // The two limits: the divider's share of the rise at first, the charging current's drop in the end.
  CHECK(relative_gap(grid<S>.ramp(S(1e6L), S(1e-12L)), S(1e-6L) / S(5)) < 2e-7);
  CHECK(relative_gap(grid<S>.ramp(S(1e6L), unlimited<S>()), 2.0L) < close);
}

TEST_CASE("a ramp is the solution of the grid's equation") {
  // C dv/dt = C_gp a - v / R, by small steps of the trapezoidal rule here.
  const GridPickUp<double>& of = grid<double>;
  const double a = 3e6, h = 1e-9;
  double v = 0.0;
  for (int k = 0; k < 17000; ++k)
    v = (v * (of.total / h - 0.5 / of.resistance) + of.coupling * a) / (of.total / h + 0.5 / of.resistance);
  CHECK(relative_gap(of.ramp(a, 17e-6), v) < 1e-8);
}

TEST_CASE_TEMPLATE("a rise to a given height ends at the divider's voltage if fast, and is not felt if slow", S, float,
                   double, long double) {
  CHECK(relative_gap(grid<S>.ramp_to(S(1e12L), S(300)), 60.0L) < 2e-5);
  CHECK(relative_gap(grid<S>.ramp_to(S(1e3L), S(300)), 2e-3L) < 32 * double(round_off<S>));
}

TEST_CASE_TEMPLATE("the least rate lifts the grid by just the overdrive", S, float, double, long double) {
  const double close = 64 * double(round_off<S>);
  const S rate = grid<S>.least_rate(S(0.5), S(15e-6L));
  CHECK(relative_gap(grid<S>.ramp(rate, S(15e-6L)), 0.5L) < close);
  // By hand: 5 V over 1 Mohm is 5 uA, which 2 pF passes at 2.5 V/us.
  CHECK(relative_gap(grid<S>.least_rate(S(5), unlimited<S>()), 2.5e6L) < close);
  CHECK(grid<S>.least_rate(S(0), S(1e-6L)) == S(0));
  GridPickUp<S> screened = grid<S>;
  screened.coupling = S(0);
  CHECK(screened.least_rate(S(5), S(1)) == unlimited<S>());
  CHECK(screened.least_rate_to(S(5), S(300)) == unlimited<S>());
}

TEST_CASE_TEMPLATE("the least rate of a rise to a given height lifts the grid by just the overdrive at its end", S,
                   float, double, long double) {
  for (const S overdrive : {S(0.01L), S(1), S(30), S(55), S(59.9L)}) {
    CAPTURE(overdrive);
    const S rate = grid<S>.least_rate_to(overdrive, S(300));
    CHECK(relative_gap(grid<S>.ramp_to(rate, S(300)), overdrive) < 1e4 * double(round_off<S>));
    CHECK(grid<S>.ramp_to(S(rate * S(0.99L)), S(300)) < overdrive);
  }
  CHECK(grid<S>.least_rate_to(S(60.1L), S(300)) == unlimited<S>());
  // A rise that is long beside the time constant needs the rate of one that goes on: 0.01 V takes 5 kV/s.
  CHECK(relative_gap(grid<S>.least_rate_to(S(0.01L), S(300)), 5000.0L) < 32 * double(round_off<S>));
}

TEST_CASE("a smaller grid resistance and less coupling pick up less") {
  const unsigned seed = 72;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> factor(1.0, 100.0), log_time(-8.0, -3.0);
  for (int k = 0; k < 500; ++k) {
    const double time = std::pow(10.0, log_time(random)), lift = grid<double>.ramp(1e6, time);
    CAPTURE(time);
    GridPickUp<double> less = grid<double>;
    less.resistance /= factor(random);
    CHECK(less.ramp(1e6, time) <= lift * (1 + 1e-14));
    less = grid<double>;
    less.coupling /= factor(random);
    CHECK(less.ramp(1e6, time) <= lift);
    less = grid<double>;
    less.total *= factor(random);
    CHECK(less.ramp(1e6, time) <= lift * (1 + 1e-14));
  }
}

TEST_CASE("the tube's capacitances give its pick-up, with the wiring's") {
  const TubeCapacitances<double> tube{0.03e-12, 2e-12, 1e-12, 1.5e-12, 4.5e-12};
  const GridPickUp<double> quiet = pick_up(tube, ShieldTie::to_cathode, 3.47e-12, 1e5);
  CHECK(quiet.coupling == 0.03e-12);
  CHECK(relative_gap(quiet.total, 10e-12) < 1e-14);
  CHECK(quiet.resistance == 1e5);
  const GridPickUp<double> loud = pick_up(tube, ShieldTie::floating, 3.47e-12, 1e5);
  CHECK(loud.step(100.0) > 50 * quiet.step(100.0));
  CHECK(refusal::of([&] { (void)pick_up(tube, ShieldTie::floating, -1e-12, 1e5); }) == "grid pick-up: stray");
  CHECK(refusal::of([&] { (void)pick_up(TubeCapacitances<double>{}, ShieldTie::to_grid, 0.0, 1e5); })
        == "grid pick-up: total");
  CHECK(refusal::of([&] { (void)pick_up(TubeCapacitances<double>{-1.0}, ShieldTie::to_grid, 0.0, 1e5); })
        == "tube capacitances: grid_plate");
}

TEST_CASE_TEMPLATE("a pick-up refuses what is out of range", S, float, double, long double) {
  using Grid = GridPickUp<S>;
  refusal::check_field(grid<S>, &Grid::coupling, "grid pick-up: coupling", S(0), S(-1e-15));
  refusal::check_field(grid<S>, &Grid::total, "grid pick-up: total", S(2e-12L), S(1.9e-12L));
  refusal::check_field(grid<S>, &Grid::resistance, "grid pick-up: resistance", S(1), S(0));
  CHECK(refusal::of([] { (void)grid<S>.ramp(S(1), S(-1e-9)); }) == "grid pick-up: time");
  CHECK(refusal::of([] { (void)grid<S>.least_rate(S(-1), S(1)); }) == "grid pick-up: overdrive");
  CHECK(refusal::of([] { (void)grid<S>.least_rate(S(1), S(0)); }) == "grid pick-up: duration");
  CHECK(refusal::of([] { (void)grid<S>.least_rate_to(S(0), S(1)); }) == "grid pick-up: overdrive");
  CHECK(refusal::of([] { (void)grid<S>.least_rate_to(S(1), S(0)); }) == "grid pick-up: height");
}
