// SPDX-License-Identifier: MIT
// What follows from any ignition law: inverse, shield grid, band, grid resistor.
#include <gastube/tube/ignition/ignition.hpp>

#include "fidelity/check_rows.hpp"
#include "fidelity/ignition_rows.hpp"
#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

#include <random>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {

template <class S>
constexpr KneedLine<S> kneed{{S(250), S(-1.4L), S(0)}, {S(12), S(0.8L), S(50)}};

/// Both round trips, from plate to grid and from grid to plate, at random plate voltages.
template <class S, class Law>
void check_inverse(const Law& law, S lowest, S highest, S ratio) {
  const unsigned seed = 43;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> within{double(lowest), double(highest)};
  for (int k = 0; k < 300; ++k) {
    const S plate = S(within(random)), grid = law.critical_grid(plate), back = critical_plate(law, grid);
    CAPTURE(plate);
    CAPTURE(grid);
    // Round-off of the grid voltage counts control-ratio times on the plate.
    CHECK(absolute_gap(back, plate) < 1e-8 + 8.0 * double(round_off<S> * (plate + ratio * (math::abs(grid) + S(5)))));
    CHECK(law.critical_grid(back) <= grid);  // at the voltage returned the tube does fire
  }
}

}  // namespace

TEST_CASE_TEMPLATE("critical_plate is the inverse of critical_grid", S, float, double, long double) {
  check_inverse<S>(ControlLine<S>{S(40), S(-2), S(0)}, S(0.1), S(2000), S(40));
  check_inverse<S>(kneed<S>, S(14), S(650), S(300));
  const std::array<Point<S>, 3> points{{{S(50), S(-0.8L)}, {S(300), S(-2.5)}, {S(650), S(-4)}}};  // made up
  check_inverse<S>(IgnitionCurve<S, 3>(points, {S(12), S(0.8L), S(50)}), S(14), S(900), S(300));
}

TEST_CASE_TEMPLATE("a grid that no plate voltage overcomes gives the end of the search", S, float, double,
                   long double) {
  CHECK(critical_plate(kneed<S>, S(-50), S(650)) == S(650));
  CHECK(critical_plate(kneed<S>, S(-1e4), S(1e5)) == S(1e5));
  CHECK(critical_plate(kneed<S>, kneed<S>.critical_grid(S(650)), S(650)) <= S(650));
}

TEST_CASE_TEMPLATE("a grid far positive fires just above the ionisation potential", S, float, double, long double) {
  const S plate = critical_plate(kneed<S>, S(500));
  CHECK(plate > S(12));
  CHECK(plate < S(12.01));
}

TEST_CASE_TEMPLATE("a line with a least plate voltage fires exactly there when the grid is high", S, float, double,
                   long double) {
  const ControlLine<S> line{S(100), S(0), S(20)};
  CHECK(absolute_gap(critical_plate(line, S(3)), 20.0L) < 1e-8 + 80.0 * double(round_off<S>));
  CHECK(critical_plate(ControlLine<S>{S(100), S(0), S(0)}, S(3)) == S(0));
}

TEST_CASE_TEMPLATE("a volt on the shield grid is worth its leverage on the grid", S, float, double, long double) {
  const ShieldShift<S> shift{S(4)};
  CHECK(shift(S(0)) == S(0));
  CHECK(shift(S(1)) == S(-4));  // positive shield: fires more easily
  CHECK(shift(S(-2.5)) == S(10));
  CHECK(ShieldShift<S>{}(S(30)) == S(0));  // a triode
  CHECK(shift(S(1e-8L)) < S(0));
}

TEST_CASE_TEMPLATE("a shield shift refuses a negative leverage", S, float, double, long double) {
  refusal::check_field(ShieldShift<S>{S(4)}, &ShieldShift<S>::leverage, "shield shift: leverage", S(0), S(-1e-8));
}

TEST_CASE_TEMPLATE("an ignition band widens with plate voltage and with the knee", S, float, double, long double) {
  const IgnitionBand<S> band{S(0.5), S(0.001L), S(0.25)};
  CHECK(band.half_width(S(0), S(0)) == S(0.5));
  // By hand: 0.5 + 0.4 + 0.25 x 2.
  CHECK(relative_gap(band.half_width(S(400), S(2)), 1.4L) < 4 * double(round_off<S>));
  CHECK(band.half_width(S(-400), S(0)) == S(0.5));  // never narrower than at zero plate voltage
  CHECK(band.half_width(S(1e-8L), S(0)) >= S(0.5));
}

TEST_CASE("the catalogued tubes agree with what is published of their control") {
  check_rows(published::firing::control_characteristic);
}

TEST_CASE_TEMPLATE("production and life together make a band as wide as both", S, float, double, long double) {
  const IgnitionBand<S> production{S(0.5), S(0.001L), S(0.25)}, life{S(0.25), S(0.0005L), S(0.5)};
  const IgnitionBand<S> both = combined(production, life);
  both.check();
  for (const S plate : {S(-10), S(0), S(100), S(650)})
    for (const S lift : {S(0), S(2)})
      CHECK(
          relative_gap(both.half_width(plate, lift), production.half_width(plate, lift) + life.half_width(plate, lift))
          < 8 * double(round_off<S>));
  // What is uncertain of the knee cannot be more than all of it.
  CHECK(combined(life, IgnitionBand<S>{S(0), S(0), S(0.75)}).knee_share == S(1));
  const IgnitionBand<S> none{S(0), S(0), S(0)};
  CHECK(combined(production, none).half_width(S(300), S(1)) == production.half_width(S(300), S(1)));
}

TEST_CASE("life never narrows the band") {
  const unsigned seed = 829;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> share(0.0, 1.0);
  for (int k = 0; k < 500; ++k) {
    const IgnitionBand<double> made{share(random), 1e-2 * share(random), share(random)};
    const IgnitionBand<double> life{share(random), 1e-2 * share(random), share(random)};
    const double plate = 1e3 * share(random), lift = 5.0 * share(random);
    CHECK(combined(made, life).half_width(plate, lift) >= made.half_width(plate, lift));
    CHECK(combined(made, life).half_width(plate, lift) >= life.half_width(plate, lift));
  }
}

TEST_CASE_TEMPLATE("an ignition band refuses fields out of range", S, float, double, long double) {
  using Law = IgnitionBand<S>;
  const Law band{S(0.5), S(0.001L), S(0.25)};
  refusal::check_field(band, &Law::at_zero, "ignition band: at_zero", S(0), S(-1e-8));
  refusal::check_field(band, &Law::per_plate_volt, "ignition band: per_plate_volt", S(0), S(-1e-8));
  refusal::check_field(band, &Law::knee_share, "ignition band: knee_share", S(0), S(-1e-8));
  refusal::check_field(band, &Law::knee_share, "ignition band: knee_share", S(1), S(1.001));
}

TEST_CASE_TEMPLATE("the critical grid current shifts the bias by its drop in the grid resistor", S, float, double,
                   long double) {
  const double close = 4 * double(round_off<S>);
  // Ohm's law by hand: 0.5 uA in 0.1, 1 and 10 Mohm.
  CHECK(relative_gap(critical_bias(S(0), S(0.5e-6L), S(0.1e6)), -0.05L) < close);
  CHECK(relative_gap(critical_bias(S(0), S(0.5e-6L), S(1e6)), -0.5L) < close);
  CHECK(relative_gap(critical_bias(S(0), S(0.5e-6L), S(10e6)), -5.0L) < close);
  CHECK(relative_gap(critical_bias(S(-2), S(0.5e-6L), S(10e6)), -7.0L) < close);
  CHECK(critical_bias(S(-2), S(0.5e-6L), S(0)) == S(-2));
}

namespace {
struct StepLaw {  // a user's own law needs no base class
  double critical_grid(const double& plate) const { return plate < 30.0 ? 5.0 : -5.0; }
  void check() const {}
};
struct NoLaw {
  double critical_grid(const double& plate) const { return plate; }
};
}  // namespace

TEST_CASE("whatever has critical_grid and check is an ignition law") {
  static_assert(IgnitionLaw<StepLaw, double> && !IgnitionLaw<NoLaw, double> && !IgnitionLaw<StepLaw, float>);
  CHECK(relative_gap(critical_plate(StepLaw{}, 0.0), 30.0) < 1e-9);  // even across a step
}
