// SPDX-License-Identifier: MIT
// The afterglow from the gas, and the two conditions of recovery.
#include <gastube/adapt/dual.hpp>
#include <gastube/tube/recovery/diffusion_afterglow.hpp>

#include "fidelity/check_rows.hpp"
#include "fidelity/recovery_rows.hpp"
#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

using namespace gastube;
using closeness::relative_gap;

namespace {

template <class S>
DyingPlasma<S> xenon() {
  return {transport::xenon, S(20), S(320), S(4), S(1.5e-3L)};
}
template <class S>
constexpr RecoveryConditions<S> grid{S(1e18L), S(0.4e-3L), S(0.5e-4L)};

}  // namespace

TEST_CASE("time constants and levels stand where they are said to stand beside published times") {
  check_rows(published::recovery::afterglows);
}
TEST_CASE("the laws predict the second time of two xenon tetrodes, or are known not to") {
  check_rows(published::recovery::tetrodes);
}
TEST_CASE("heavier and denser gas, current, resistance, voltage and weak bias lengthen recovery") {
  check_rows(published::recovery::trends);
}

TEST_CASE_TEMPLATE("the time constant is that of diffusion and exit in series", S, float, double, long double) {
  // By hand, from the constants: D = 0.58e-4 (2.686780e25 kT / p) (kT/e) (1 + 4), v = sqrt(4 kT / M).
  const long double t = 320, k = 1.380649e-23L, e = 1.602176634e-19L, u = 1.66053906660e-27L;
  const long double ions = 0.58e-4L * 2.686780111e25L * k * t / 20 * (k * t / e);
  const long double exit = std::sqrt(4 * k * t / (131.293L * u));
  CHECK(relative_gap(xenon<S>().time_constant(), 1.5e-3L * 1.5e-3L / (5 * ions) + 1.5e-3L / exit) < 2e-6);
}

TEST_CASE_TEMPLATE("lighter gas, less pressure, warmer electrons and a smaller space recover sooner", S, float, double,
                   long double) {
  const S base = xenon<S>().time_constant();
  DyingPlasma<S> plasma = xenon<S>();
  plasma.pressure = S(10);
  CHECK(plasma.time_constant() < base);
  CHECK(plasma.time_constant() > base / S(2));  // the exit does not gain
  plasma = xenon<S>();
  plasma.temperature_ratio = S(8);
  CHECK(plasma.time_constant() < base);
  plasma = xenon<S>();
  plasma.length = S(1e-3L);
  CHECK(plasma.time_constant() < base);
  S last = S(0);
  for (const IonMobility& ion : {transport::hydrogen, transport::neon, transport::argon, transport::krypton,
                                 transport::xenon, transport::mercury}) {
    plasma = xenon<S>();
    plasma.ion = ion;
    CAPTURE(ion.ion);
    CHECK(plasma.time_constant() > last);
    last = plasma.time_constant();
  }
}

TEST_CASE_TEMPLATE("(a) the sheaths fill the openings when the density has fallen to Child's", S, float, double,
                   long double) {
  const DyingPlasma<S> plasma = xenon<S>();
  const S time = grid<S>.sheath_time(plasma, S(30));
  const S left = S(1e18L) * std::exp(-time / plasma.time_constant());
  CHECK(relative_gap(sheath_thickness(S(30), left, plasma.electron_temperature()), 0.4e-3L)
        < 100 * double(round_off<S>));
  // By hand: e^(2/3) times the voltage gains one time constant.
  const S sooner = time - grid<S>.sheath_time(plasma, S(30 * std::exp(2.0L / 3.0L)));
  CHECK(relative_gap(sooner, plasma.time_constant()) < 200 * double(round_off<S>));
  CHECK(grid<S>.sheath_time(plasma, S(1e6)) == S(0));
  CHECK(grid<S>.sheath_time(plasma, S(0)) == unlimited<S>());
  CHECK(grid<S>.sheath_time(plasma, S(-5)) == unlimited<S>());
}

TEST_CASE_TEMPLATE("(b) the drop in the grid resistor must be down to what the bias has to spare", S, float, double,
                   long double) {
  const DyingPlasma<S> plasma = xenon<S>();
  const S ions = plasma.ion_current(S(1e18L), S(0.5e-4L));
  CHECK(relative_gap(ions, grid<S>.grid_area * bohm_current(S(1e18L), plasma.electron_temperature(), S(131.293L)))
        < 1e-6);
  const S resistance = S(1e6), time = grid<S>.resistor_time(plasma, S(8), resistance);
  CHECK(relative_gap(ions * std::exp(-time / plasma.time_constant()) * resistance, 8.0L) < 1000 * double(round_off<S>));
  // By hand: e times the resistance costs one time constant.
  const S later = grid<S>.resistor_time(plasma, S(8), S(1e6L * std::exp(1.0L))) - time;
  CHECK(relative_gap(later, plasma.time_constant()) < 1000 * double(round_off<S>));
  CHECK(grid<S>.resistor_time(plasma, S(8), S(S(7.99L) / ions)) == S(0));
  CHECK(grid<S>.resistor_time(plasma, S(8), S(S(8.01L) / ions)) > S(0));
  CHECK(grid<S>.resistor_time(plasma, S(0), S(1)) == unlimited<S>());
  CHECK(grid<S>.resistor_time(plasma, S(0), S(0)) == S(0));
  CHECK(grid<S>.resistor_time(plasma, S(-1e-3), S(0)) == unlimited<S>());
}

TEST_CASE("the later of the two conditions counts") {
  const DyingPlasma<double> plasma = xenon<double>();
  const double sheath = grid<double>.sheath_time(plasma, 30.0);
  CHECK(grid<double>.time(plasma, 30.0, 8.0, 1.0) == sheath);
  const double resistor = grid<double>.resistor_time(plasma, 8.0, 1e9);
  CHECK(resistor > sheath);
  CHECK(grid<double>.time(plasma, 30.0, 8.0, 1e9) == resistor);
}

TEST_CASE_TEMPLATE("the law keeps its level in time constants, whatever the gas", S, float, double, long double) {
  const DyingPlasma<S> plasma = xenon<S>();
  const SheathAfterglow<S> law = diffusion_afterglow(plasma, S(6), S(0.2L), S(12));
  CHECK(law.time_constant == plasma.time_constant());
  CHECK(relative_gap(law.deionisation_time(S(0.2L), S(-12)), S(6) * plasma.time_constant())
        < 32 * double(round_off<S>));
  DyingPlasma<S> lighter = plasma;
  lighter.ion = transport::neon;
  const SheathAfterglow<S> faster = diffusion_afterglow(lighter, S(6), S(0.2L), S(12));
  CHECK(relative_gap(faster.deionisation_time(S(0.7L), S(-3)) / law.deionisation_time(S(0.7L), S(-3)),
                     lighter.time_constant() / plasma.time_constant())
        < 64 * double(round_off<S>));
}

TEST_CASE("more pressure never shortens recovery at any current and bias") {
  const unsigned seed = 62;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> factor(1.0, 10.0), amperes(0.0, 1.0), volts(-300.0, 0.0), pascal(0.1, 100.0);
  for (int k = 0; k < 1000; ++k) {
    DyingPlasma<double> plasma = xenon<double>();
    plasma.pressure = pascal(random);
    const SheathAfterglow<double> thin = diffusion_afterglow(plasma, 6.0, 0.2, 12.0);
    plasma.pressure *= factor(random);
    const SheathAfterglow<double> dense = diffusion_afterglow(plasma, 6.0, 0.2, 12.0);
    const double current = amperes(random), bias = volts(random);
    CAPTURE(current);
    CAPTURE(bias);
    CHECK(dense.deionisation_time(current, bias) >= thin.deionisation_time(current, bias));
  }
}

TEST_CASE("the law's slope with pressure is that of its time constant") {
  using S = Dual<double, 1>;
  const auto time = [](double pascal) {
    DyingPlasma<S> plasma = xenon<S>();
    plasma.pressure = S::variable(pascal, 0);
    return diffusion_afterglow(plasma, S(6.0), S(0.2), S(12.0)).deionisation_time(S(0.3), S(-20.0));
  };
  const double by_difference = (time(20.01).value() - time(19.99).value()) / 0.02;
  CHECK(relative_gap(time(20.0).partial(0), by_difference) < 1e-7);
}

TEST_CASE_TEMPLATE("plasma and conditions refuse fields out of range", S, float, double, long double) {
  using Plasma = DyingPlasma<S>;
  const Plasma plasma = xenon<S>();
  refusal::check_field(plasma, &Plasma::pressure, "dying plasma: pressure", S(1), S(0));
  refusal::check_field(plasma, &Plasma::temperature, "dying plasma: temperature", S(1), S(0));
  refusal::check_field(plasma, &Plasma::temperature_ratio, "dying plasma: temperature_ratio", S(1), S(0));
  refusal::check_field(plasma, &Plasma::length, "dying plasma: length", S(1), S(0));
  using Grid = RecoveryConditions<S>;
  refusal::check_field(grid<S>, &Grid::start, "recovery conditions: start", S(0), S(-1));
  refusal::check_field(grid<S>, &Grid::half_opening, "recovery conditions: half_opening", S(1), S(0));
  refusal::check_field(grid<S>, &Grid::grid_area, "recovery conditions: grid_area", S(0), S(-1));
  CHECK(refusal::of([&] { (void)plasma.ion_current(S(1), S(-1)); }) == "dying plasma: area");
  CHECK(refusal::of([&] { (void)grid<S>.resistor_time(plasma, S(1), S(-1)); }) == "grid circuit: resistance");
  CHECK(refusal::of([&] { (void)diffusion_afterglow(plasma, S(0), S(1), S(1)); })
        == "diffusion afterglow: time_constants");
  CHECK(refusal::of([&] { (void)diffusion_afterglow(plasma, S(1), S(0), S(1)); })
        == "sheath afterglow: reference_current");
}
