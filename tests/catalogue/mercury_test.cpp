// SPDX-License-Identifier: MIT
// Mercury tubes against what handbooks say of them, from memory, and over the temperature of their mercury.
#include <gastube/adapt/dual.hpp>
#include <gastube/catalogue/mercury.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

#include <random>

using namespace gastube;
using catalogue::mercury_tubes;
using closeness::relative_gap;

TEST_CASE("5557 and 5559: ratings of the handbooks, from memory") {
  const auto small = catalogue::type_5557().laws().ratings, large = catalogue::type_5559().laws().ratings;
  CHECK(small.peak_forward == 2500.0);
  CHECK(small.peak_inverse == 5000.0);
  CHECK(small.peak_current == 2.0);
  CHECK(small.average_current == 0.5);
  CHECK(large.peak_forward == 1000.0);
  CHECK(large.peak_inverse == 1000.0);
  CHECK(large.peak_current == 15.0);
  CHECK(large.average_current == 2.5);
  CHECK(large.fault_current == 200.0);
  CHECK(large.heating_time == 300.0);
}

TEST_CASE("the drop stays within 10 to 24 V over the range of temperatures that handbooks allow") {
  // 5557 and 5559: 10 to 24 V, condensed mercury 40 to 80 degrees Celsius; tube handbooks, from memory
  for (const double celsius : {40.0, 50.0, 60.0, 70.0, 80.0})
    for (const double share : {0.1, 1.0}) {
      CHECK(catalogue::type_5557(celsius).laws().arc.voltage(share * 2.0) >= 10.0);
      CHECK(catalogue::type_5557(celsius).laws().arc.voltage(share * 2.0) <= 24.0);
      CHECK(catalogue::type_5559(celsius).laws().arc.voltage(share * 15.0) >= 10.0);
      CHECK(catalogue::type_5559(celsius).laws().arc.voltage(share * 15.0) <= 24.0);
    }
}

TEST_CASE("hotter mercury: grid more negative, drop lower, recovery longer, for every mercury tube") {
  // trend of the handbooks, from memory; of the drop: handbooks; of recovery: A. W. Hull (1929), from memory
  const unsigned long long seed = 20261125;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> plate(50, 1000), temperature(0, 90), grid(-50, -5), current(0.05, 2);
  for (int k = 0; k < 300; ++k)
    for (const auto& data : mercury_tubes) {
      const double cooler = temperature(random), volts = plate(random), bias = grid(random), amperes = current(random);
      const auto cool = catalogue::build(data, cooler), hot = catalogue::build(data, cooler + 5);
      CAPTURE(cooler);
      CHECK(hot.critical_grid({volts, 0, 0}, 0) < cool.critical_grid({volts, 0, 0}, 0));
      CHECK(hot.laws().arc.voltage(amperes) <= cool.laws().arc.voltage(amperes));
      CHECK(hot.laws().recovery.deionisation_time(amperes, bias)
            > cool.laws().recovery.deionisation_time(amperes, bias));
    }
}

TEST_CASE("argon makes a mercury tube heed the temperature less") {
  // 394A: argon starts it cold; tube handbooks, from memory
  const auto shift = [](const catalogue::MercuryData& d) {
    return catalogue::build(d, 0.0).critical_grid({500, 0, 0}, 0)
           - catalogue::build(d, 60.0).critical_grid({500, 0, 0}, 0);
  };
  CHECK(shift(catalogue::of(mercury_tubes, "394A")) < 0.2 * shift(catalogue::data_5557));
}

TEST_CASE("at the reference temperature the data hold as they are") {
  const auto tube = catalogue::type_5559(40.0);
  CHECK(relative_gap(tube.laws().ignition.present().line.control_ratio, catalogue::data_5559.tube.control_ratio.value)
        < 1e-12);
  CHECK(relative_gap(tube.laws().arc.voltage(0.0), catalogue::data_5559.tube.arc_drop.value) < 1e-12);
}

TEST_CASE("the ionisation time of a mercury tube is never below 0.3 us, the least ever seen") {
  // "Ionization time of thyratrons", AIEE, about 1940, abstract
  for (const auto& data : mercury_tubes) CHECK(catalogue::build(data).laws().delay.delay(1e6) >= 0.3e-6);
}

TEST_CASE("a temperature beyond reason is refused by the name of the tube") {
  CHECK(refusal::of([] { static_cast<void>(catalogue::type_5557(-50.0)); }) == "5557: condensed mercury");
  CHECK(refusal::of([] { static_cast<void>(catalogue::type_5557(1e3)); }) == "5557: condensed mercury");
}

TEST_CASE("the critical grid voltage has a derivative by the temperature of the mercury") {
  using D = Dual<double, 1>;
  const auto at = [](const auto& celsius) {
    return catalogue::type_5557(celsius).critical_grid({300.0, 0.0, 0.0}, 0.0);
  };
  const double slope = at(D::variable(55.0, 0)).partial(0), differ = (at(55.001) - at(54.999)) / 0.002;
  CHECK(slope < 0);
  CHECK(relative_gap(slope, differ) < 1e-6);
}
