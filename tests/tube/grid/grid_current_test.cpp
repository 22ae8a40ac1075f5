// SPDX-License-Identifier: MIT
// Grid current before ignition, in the afterglow, and while the arc burns.
#include <gastube/tube/grid/grid_current.hpp>

#include "fidelity/check_rows.hpp"
#include "fidelity/grid_rows.hpp"
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
constexpr ProbeGrid<S> law{.perveance = S(2e-5L),
                           .leakage = S(1e-9L),
                           .critical_current = S(0.4e-6L),
                           .ionisation = S(12),
                           .ion_share = S(1e-3L),
                           .ions_per_residual = S(5e-5L),
                           .plasma = S(8),
                           .plasma_resistance = S(500)};

template <class S>
Conditions<S> random_conditions(std::mt19937_64& random) {
  std::uniform_real_distribution<double> plate(-40.0, 40.0), grid(-15.0, 25.0);
  return {S(plate(random)), S(grid(random)), S(0)};
}

}  // namespace

TEST_CASE("published shifts of firing point and grid come out") { check_rows(published::grid::probe_grid); }

TEST_CASE("the ideal grid carries no current in any state") {
  const NoGridCurrent<double> none;
  none.check();
  for (const GridPaths<double>& paths : {none.before({100.0, 5.0, 0.0}, 1.0, 1.0), none.lit({8.0, 5.0, 0.0}, 1.0)}) {
    CHECK(paths.to_cathode == 0.0);
    CHECK(paths.to_cathode_by_grid == 0.0);
    CHECK(paths.from_plate == 0.0);
    CHECK(paths.from_plate_by_plate_current == 0.0);
  }
}

TEST_CASE_TEMPLATE("a positive grid draws electrons by Child's law, a negative one only leaks", S, float, double,
                   long double) {
  const double close = 8 * double(round_off<S>);
  const auto electrons = [](S grid, S emission) {
    return law<S>.before({S(0), grid, S(0)}, emission, S(0)).to_cathode;
  };
  // By hand: 4^1.5 = 8, and 4 V through the leakage.
  CHECK(relative_gap(electrons(S(4), S(1)), 160e-6L + 4e-9L) < close);
  CHECK(relative_gap(electrons(S(4), S(0.5)), 80e-6L + 4e-9L) < close);
  CHECK(relative_gap(electrons(S(-10), S(1)), -10e-9L) < close);
  CHECK(electrons(S(0), S(1)) == S(0));
  CHECK(electrons(S(-1e-8L), S(1)) == S(1e-9L) * S(-1e-8L));
  CHECK(law<S>.before({S(0), S(0), S(0)}, S(1), S(0)).to_cathode_by_grid == S(1e-9L));
}

TEST_CASE_TEMPLATE("ions reach the grid from the ionisation potential on, up to the critical current", S, float, double,
                   long double) {
  const auto ions = [](S plate, S emission) { return law<S>.before({plate, S(-5), S(0)}, emission, S(0)).from_plate; };
  CHECK(ions(S(12), S(1)) == S(0));
  CHECK(ions(S(5), S(1)) == S(0));
  CHECK(ions(S(12 + 1e-5L), S(1)) > S(0));
  CHECK(relative_gap(ions(S(18), S(1)), 0.2e-6L) < 8 * double(round_off<S>));  // half way to twice the potential
  CHECK(ions(S(24), S(1)) == S(0.4e-6L));
  CHECK(ions(S(650), S(1)) == S(0.4e-6L));
  CHECK(ions(S(650), S(0)) == S(0));
}

TEST_CASE_TEMPLATE("ions of the afterglow come with the residual ionisation while the plate is above the grid", S,
                   float, double, long double) {
  const auto ions = [](S plate, S residual) { return law<S>.before({plate, S(-5), S(0)}, S(1), residual).from_plate; };
  const double close = 8 * double(round_off<S>);
  CHECK(relative_gap(ions(S(0), S(1)), 5e-5L) < close);
  CHECK(relative_gap(ions(S(0), S(0.1L)), 5e-6L) < close);
  CHECK(relative_gap(ions(S(-4.5), S(1)), 2.5e-5L) < close);  // half a volt above the grid
  CHECK(ions(S(-5), S(1)) == S(0));
  CHECK(ions(S(-30), S(1)) == S(0));
}

TEST_CASE_TEMPLATE("the ion current has no step where the plate passes the grid", S, float, double, long double) {
  const auto ions = [](S plate) { return law<S>.before({plate, S(20), S(0)}, S(1), S(1)).from_plate; };
  CHECK(ions(S(20)) == S(0));
  CHECK(ions(S(20 + 1e-5L)) < S(1e-9L));
  CHECK(ions(S(20.5)) > S(1e-5L));
}

TEST_CASE_TEMPLATE("the lit grid is a probe: ions in proportion to the plate current, electrons above the plasma", S,
                   float, double, long double) {
  const double close = 16 * double(round_off<S>);
  const GridPaths<S> negative = law<S>.lit({S(8), S(-10), S(0)}, S(0.2L));
  CHECK(relative_gap(negative.from_plate, 2e-4L) < close);
  CHECK(relative_gap(negative.to_cathode, -1e-8L) < close);
  CHECK(negative.from_plate_by_plate_current == S(1e-3L));
  const GridPaths<S> driven = law<S>.lit({S(8), S(13), S(0)}, S(0.2L));
  CHECK(relative_gap(driven.to_cathode, 0.01L + 13e-9L) < close);  // 5 V over 500 ohm, by hand
  CHECK(driven.from_plate == negative.from_plate);                 // a probe's ion current does not see its voltage
  CHECK(law<S>.lit({S(8), S(8), S(0)}, S(0.2L)).to_cathode == S(1e-9L) * S(8));
  CHECK(law<S>.lit({S(8), S(8), S(0)}, S(0.2L)).to_cathode_by_grid == S(1e-9L));
  CHECK(law<S>.lit({S(8), S(8.001L), S(0)}, S(0.2L)).to_cathode > S(1e-6L));
}

TEST_CASE("a lit tube without plate current has no ions to give") {
  CHECK(law<double>.lit({8.0, -10.0, 0.0}, 0.0).from_plate == 0.0);
  CHECK(law<double>.lit({8.0, -10.0, 0.0}, 0.0).from_plate_by_plate_current == 0.0);
  CHECK(law<double>.lit({8.0, -10.0, 0.0}, -1.0).from_plate == 0.0);
  CHECK(relative_gap(law<double>.lit({8.0, -10.0, 0.0}, 1e-8).from_plate, 1e-11) < 1e-12);
}

TEST_CASE_TEMPLATE("stated slopes of the grid current are those of the current", S, float, double, long double) {
  const unsigned seed = 46;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  for (int k = 0; k < 500; ++k) {
    const Conditions<S> at = random_conditions<S>(random);
    CAPTURE(at.plate);
    CAPTURE(at.grid);
    const auto before = [](S plate, S grid) { return law<S>.before({plate, grid, S(0)}, S(0.7), S(0.01L)); };
    const GridPaths<S> dark = before(at.plate, at.grid);
    CHECK(slopes::agrees([&](S v) { return before(at.plate, v).to_cathode; }, at.grid, dark.to_cathode_by_grid));
    CHECK(slopes::agrees([&](S v) { return before(v, at.grid).from_plate; }, at.plate, dark.from_plate_by_plate));
    CHECK(slopes::agrees([&](S v) { return before(at.plate, v).from_plate; }, at.grid, dark.from_plate_by_grid));

    const auto lit = [&](S grid, S current) { return law<S>.lit({at.plate, grid, S(0)}, current); };
    const S current = S(0.3);
    const GridPaths<S> burning = lit(at.grid, current);
    CHECK(slopes::agrees([&](S v) { return lit(v, current).to_cathode; }, at.grid, burning.to_cathode_by_grid));
    CHECK(
        slopes::agrees([&](S i) { return lit(at.grid, i).from_plate; }, current, burning.from_plate_by_plate_current));
  }
}

TEST_CASE_TEMPLATE("a grid refuses fields out of range", S, float, double, long double) {
  using Law = ProbeGrid<S>;
  refusal::check_field(law<S>, &Law::perveance, "grid: perveance", S(0), S(-1e-12));
  refusal::check_field(law<S>, &Law::leakage, "grid: leakage", S(0), S(-1e-12));
  refusal::check_field(law<S>, &Law::critical_current, "grid: critical_current", S(0), S(-1e-12));
  refusal::check_field(law<S>, &Law::ionisation, "grid: ionisation", S(1), S(0));
  refusal::check_field(law<S>, &Law::ion_share, "grid: ion_share", S(0), S(-1e-12));
  refusal::check_field(law<S>, &Law::ions_per_residual, "grid: ions_per_residual", S(0), S(-1e-12));
  refusal::check_field(law<S>, &Law::plasma, "grid: plasma", S(1), S(0));
  refusal::check_field(law<S>, &Law::plasma_resistance, "grid: plasma_resistance", S(1), S(0));
}
