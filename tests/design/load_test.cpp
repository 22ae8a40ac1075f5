// SPDX-License-Identifier: MIT
#include "gastube/adapt/dual.hpp"
#include "gastube/design/load.hpp"

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

using namespace gastube;
using namespace gastube::design;

namespace {
const FilamentRating<double> lamp{.voltage = 28, .current = 0.04};
const ConstantDrop<double> arc{12};
}  // namespace

TEST_CASE("a lamp straight in series with the tube gets the supply less the drop") {
  // Re-rating exponents 0.55 and 3.5 ("Lamp rerating", encyclopedia); closed form worked for this library.
  const auto a = load<double>({.supply = 36, .resistance = 0, .lamp = lamp}, arc);
  REQUIRE(a.lights);
  CHECK(a.lamp_voltage == closeness::relative(24.0).epsilon(1e-12));
  CHECK(a.current == closeness::relative(0.0367484696).epsilon(1e-8));
  CHECK(a.light == closeness::relative(0.583023736).epsilon(1e-8));
  CHECK(a.tube_power == closeness::relative(0.440982).epsilon(1e-5));
  CHECK(a.lamp_power == closeness::relative(0.881963).epsilon(1e-5));
  CHECK(a.supply_power == closeness::relative(1.32294).epsilon(1e-5));
}

TEST_CASE("a series resistor shares the voltage with the lamp") {
  const auto a = load<double>({.supply = 60, .resistance = 330, .lamp = lamp}, arc);
  CHECK(a.lamp_voltage == closeness::relative(33.4448117).epsilon(1e-8));
  CHECK(a.current == closeness::relative(0.0441066).epsilon(1e-5));
  CHECK(a.light == closeness::relative(1.86251).epsilon(1e-5));
  CHECK(a.resistor_power == closeness::relative(0.64198).epsilon(1e-4));
  CHECK(a.lamp_power + a.resistor_power + a.tube_power == closeness::relative(a.supply_power).epsilon(1e-10));
}

TEST_CASE("halving the series resistor brightens the lamp") {  // common practice, no source
  const auto whole = load<double>({.supply = 60, .resistance = 660, .lamp = lamp}, arc);
  const auto half = load<double>({.supply = 60, .resistance = 330, .lamp = lamp}, arc);
  CHECK(half.current > whole.current);
  CHECK(half.light > 1.3 * whole.light);
}

TEST_CASE("a supply below the arc drop lights nothing") {
  const auto a = load<double>({.supply = 11.9, .resistance = 100, .lamp = lamp}, arc);
  CHECK_FALSE(a.lights);
  CHECK(a.current == 0);
}

TEST_CASE("a rising arc drop takes its share") {
  const LinearDrop<double> rising{12, 50};
  const auto a = load<double>({.supply = 60, .resistance = 330, .lamp = lamp}, rising);
  const auto b = load<double>({.supply = 60, .resistance = 380, .lamp = lamp}, arc);
  CHECK(a.current == closeness::relative(b.current).epsilon(1e-9));
  CHECK(a.arc_drop == closeness::relative(12 + 50 * a.current).epsilon(1e-12));
}

TEST_CASE("the derivative of the current by the resistor equals finite differences") {
  using D = Dual<double, 1>;
  const auto current = [](double ohms) {
    return load<double>({.supply = 60, .resistance = ohms, .lamp = lamp}, arc).current;
  };
  const LampLoad<D> question{D(60.0), D::variable(330.0, 0), {.voltage = D(28.0), .current = D(0.04)}};
  const D i = load(question, ConstantDrop<D>{D(12.0)}).current;
  const double by_difference = (current(331) - current(329)) / 2;
  CHECK(i.value() == closeness::relative(current(330)).epsilon(1e-12));
  CHECK(i.partial(0) == closeness::relative(by_difference).epsilon(1e-5));
}
