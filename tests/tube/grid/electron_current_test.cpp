// SPDX-License-Identifier: MIT
// The electron current of a hot tube before ignition.
#include <gastube/tube/grid/electron_current.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"
#include "support_for_tests/slopes.hpp"

#include <doctest/doctest.h>

#include <random>

using namespace gastube;
using closeness::relative_gap;

namespace {

template <class S>
constexpr SpaceChargeCurrent<S> law{S(2e-6L), S(100), S(50), S(0.5), S(2), {S(1e-9L)}};

template <class S>
Conditions<S> random_conditions(std::mt19937_64& random) {
  std::uniform_real_distribution<double> plate(-50.0, 300.0), grid(-5.0, 10.0), shield(-10.0, 10.0);
  return {S(plate(random)), S(grid(random)), S(shield(random))};
}

}  // namespace

TEST_CASE_TEMPLATE("leakage is proportional to the plate voltage, either way", S, float, double, long double) {
  const PlateLeakage<S> leakage{S(1e-8L)};
  const SlopedCurrent<S> forward = leakage({S(200), S(5), S(5)}, S(1)), inverse = leakage({S(-200), S(5), S(5)}, S(0));
  CHECK(relative_gap(forward.current, 2e-6L) < 4 * double(round_off<S>));
  CHECK(inverse.current == -forward.current);
  CHECK(forward.by_plate == S(1e-8L));
  CHECK(forward.by_grid == S(0));
  CHECK(forward.by_shield == S(0));
}

TEST_CASE_TEMPLATE("the electron current follows Child's 3/2 power", S, float, double, long double) {
  const double close = 16 * double(round_off<S>);
  const auto current = [](S plate, S grid, S shield, S emission) {
    return law<S>({plate, grid, shield}, emission).current - S(1e-9L) * plate;
  };
  // By hand: effective voltage 2.5 + 100/100 + 0/50 + 0.5 = 4, so 2e-6 x 8, with 100/102 of it past the plate's knee.
  CHECK(relative_gap(current(S(100), S(2.5), S(0), S(1)), 16e-6L * 100 / 102) < close);
  CHECK(relative_gap(current(S(100), S(-0.5), S(150), S(1)), 16e-6L * 100 / 102) < close);
  CHECK(relative_gap(current(S(100), S(7.5), S(0), S(1)), 54e-6L * 100 / 102) < close);  // 9 V: 27
  CHECK(relative_gap(current(S(100), S(2.5), S(0), S(0.25)), 4e-6L * 100 / 102) < close);
  CHECK(relative_gap(current(S(2), S(3.48L), S(0), S(1)), 8e-6L) < close);  // half at the plate's knee
}

TEST_CASE_TEMPLATE("there is no electron current to a negative plate, past a blocking grid or from a cold cathode", S,
                   float, double, long double) {
  const auto only_leaks = [](S plate, S grid, S emission) {
    return law<S>({plate, grid, S(0)}, emission).current == S(1e-9L) * plate;
  };
  CHECK(only_leaks(S(0), S(5), S(1)));
  CHECK(only_leaks(S(-1e-8L), S(5), S(1)));
  CHECK(only_leaks(S(100), S(-1.5), S(1)));
  CHECK(only_leaks(S(100), S(-1.5L - 1e-6L), S(1)));
  CHECK(only_leaks(S(100), S(5), S(0)));
  CHECK(law<S>({S(1e-8L), S(5), S(0)}, S(1)).current > S(1e-17L));
  CHECK(law<S>({S(100), S(-1.5L + 1e-3L), S(0)}, S(1)).current > S(1e-7L));
}

TEST_CASE_TEMPLATE("stated slopes of the electron current are those of the current", S, float, double, long double) {
  const unsigned seed = 44;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  for (int k = 0; k < 500; ++k) {
    const Conditions<S> at = random_conditions<S>(random);
    CAPTURE(at.plate);
    CAPTURE(at.grid);
    CAPTURE(at.shield);
    const SlopedCurrent<S> stated = law<S>(at, S(0.7));
    CHECK(slopes::agrees(
        [&](S v) {
          return law<S>({v, at.grid, at.shield}, S(0.7)).current;
        },
        at.plate, stated.by_plate));
    CHECK(slopes::agrees(
        [&](S v) {
          return law<S>({at.plate, v, at.shield}, S(0.7)).current;
        },
        at.grid, stated.by_grid));
    CHECK(slopes::agrees(
        [&](S v) {
          return law<S>({at.plate, at.grid, v}, S(0.7)).current;
        },
        at.shield, stated.by_shield));
  }
}

TEST_CASE("a positive plate never gives current back, and more voltage anywhere never gives less") {
  const unsigned seed = 45;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  for (int k = 0; k < 1000; ++k) {
    const Conditions<double> at = random_conditions<double>(random);
    const SlopedCurrent<double> here = law<double>(at, 1.0);
    CAPTURE(at.plate);
    CAPTURE(at.grid);
    CHECK(here.current * at.plate >= 0.0);
    CHECK(here.by_plate > 0.0);
    CHECK(here.by_grid >= 0.0);
    CHECK(here.by_shield >= 0.0);
  }
}

TEST_CASE("a triode's shield grid has no say") {
  const SpaceChargeCurrent<double> triode{2e-6, 20.0, unlimited<double>()};
  CHECK(triode({100.0, 1.0, 50.0}, 1.0).current == triode({100.0, 1.0, 0.0}, 1.0).current);
  CHECK(triode({100.0, 1.0, 50.0}, 1.0).by_shield < 1e-30);
}

TEST_CASE_TEMPLATE("electron currents refuse fields out of range", S, float, double, long double) {
  refusal::check_field(PlateLeakage<S>{}, &PlateLeakage<S>::conductance, "plate leakage: conductance", S(0), S(-1e-12));
  using Law = SpaceChargeCurrent<S>;
  refusal::check_field(law<S>, &Law::perveance, "space-charge current: perveance", S(0), S(-1e-12));
  refusal::check_field(law<S>, &Law::control_ratio, "space-charge current: control_ratio", S(0.1), S(0));
  refusal::check_field(law<S>, &Law::shield_ratio, "space-charge current: shield_ratio", unlimited<S>(), S(0));
  refusal::check_finite_field(law<S>, &Law::contact, "space-charge current: contact");
  refusal::check_field(law<S>, &Law::plate_knee, "space-charge current: plate_knee", S(0.1), S(0));
  Law leaky = law<S>;
  leaky.leakage.conductance = S(-1);
  CHECK(refusal::of([&] { leaky.check(); }) == "plate leakage: conductance");
}
