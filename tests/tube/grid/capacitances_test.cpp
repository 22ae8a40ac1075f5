// SPDX-License-Identifier: MIT
// Direct capacitances and what they amount to with the shield grid tied up or down.
#include <gastube/tube/grid/capacitances.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

using namespace gastube;
using closeness::relative_gap;

namespace {

template <class S>
constexpr TubeCapacitances<S> tetrode{S(0.03e-12L), S(2e-12L), S(1e-12L), S(1.5e-12L), S(4.5e-12L)};

}  // namespace

TEST_CASE_TEMPLATE(
    "a shield grid at the cathode screens the grid, at the grid it couples, floating it couples in series", S, float,
    double, long double) {
  const double close = 8 * double(round_off<S>);
  // By hand, pF: 0.03; 0.03 + 1.5; 0.03 + 1.5 x 4.5 / 6.
  CHECK(tetrode<S>.effective_grid_plate(ShieldTie::to_cathode) == S(0.03e-12L));
  CHECK(relative_gap(tetrode<S>.effective_grid_plate(ShieldTie::to_grid), 1.53e-12L) < close);
  CHECK(relative_gap(tetrode<S>.effective_grid_plate(ShieldTie::floating), 1.155e-12L) < close);
}

TEST_CASE_TEMPLATE("all capacitance of the grid counts against the plate's pull", S, float, double, long double) {
  const double close = 8 * double(round_off<S>);
  CHECK(relative_gap(tetrode<S>.effective_grid_cathode(ShieldTie::to_cathode), 6.5e-12L) < close);
  CHECK(tetrode<S>.effective_grid_cathode(ShieldTie::to_grid) == S(2e-12L));
  CHECK(tetrode<S>.effective_grid_cathode(ShieldTie::floating) == S(2e-12L));
  CHECK(relative_gap(tetrode<S>.effective_grid(ShieldTie::to_cathode), 6.53e-12L) < close);
  CHECK(relative_gap(tetrode<S>.effective_grid(ShieldTie::to_grid), 3.53e-12L) < close);
  CHECK(relative_gap(tetrode<S>.effective_grid(ShieldTie::floating), 3.155e-12L) < close);
}

TEST_CASE("the floating shield's share of a step is what a capacitive ladder gives") {
  // Solved here as a ladder: a unit step on the plate, charge balance at grid g and at shield s.
  //   s (Csp + Cgs) = Csp + Cgs g;   g (Cgp + Cgk + Cgs) = Cgp + Cgs s
  const double cgp = 0.03, cgk = 2, csp = 1.5, cgs = 4.5;
  const double g = (cgp + cgs * csp / (csp + cgs)) / (cgp + cgk + cgs - cgs * cgs / (csp + cgs));
  const double share =
      tetrode<double>.effective_grid_plate(ShieldTie::floating) / tetrode<double>.effective_grid(ShieldTie::floating);
  CHECK(relative_gap(share, g) < 1e-14);
}

TEST_CASE("a triode has no shield grid to tie") {
  const TubeCapacitances<double> triode{2e-12, 3e-12, 1e-12};
  for (const ShieldTie tie : {ShieldTie::to_cathode, ShieldTie::to_grid, ShieldTie::floating}) {
    CHECK(triode.effective_grid_plate(tie) == 2e-12);
    CHECK(relative_gap(triode.effective_grid(tie), 5e-12) < 1e-15);
  }
}

TEST_CASE_TEMPLATE("capacitances refuse less than none", S, float, double, long double) {
  using C = TubeCapacitances<S>;
  refusal::check_field(C{}, &C::grid_plate, "tube capacitances: grid_plate", S(0), S(-1e-15));
  refusal::check_field(C{}, &C::grid_cathode, "tube capacitances: grid_cathode", S(0), S(-1e-15));
  refusal::check_field(C{}, &C::plate_cathode, "tube capacitances: plate_cathode", S(0), S(-1e-15));
  refusal::check_field(C{}, &C::shield_plate, "tube capacitances: shield_plate", S(0), S(-1e-15));
  refusal::check_field(C{}, &C::grid_shield, "tube capacitances: grid_shield", S(0), S(-1e-15));
}
