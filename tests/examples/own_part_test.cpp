// SPDX-License-Identifier: MIT
// The part of example own_part is asked what the library's own are asked.
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/current_source.hpp>
#include <gastube/circuit/energy_balance.hpp>
#include <gastube/circuit/inductor.hpp>
#include <gastube/circuit/run.hpp>

#include "laws/part_laws.hpp"
#include "own_part/varistor.hpp"
#include "support_for_tests/closeness.hpp"
#include "support_for_tests/energy_check.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;
using closeness::relative_gap;
using own_part::Varistor;

TEST_CASE_TEMPLATE("its slopes are those of its current, and it absorbs", S, double, long double) {
  const Varistor<S> varistor(1, 2, {.volts = S(5), .steepness = S(3), .joules = S(1)});
  laws::check_equations(varistor);
  laws::check_passive(varistor);
}

TEST_CASE(
    "it carries a milliampere at its voltage, either way, and a thousand times that at 1000^(1/steepness) of it") {
  const auto volts = [](double amperes) {
    auto run =
        start(wire<2>(steady_current(0, 1, amperes), Capacitor{1, 0, 1e-9}, Varistor<double>{1, 0, {150, 30, 1}}),
              Settings<double>{.relative = 1e-9});
    REQUIRE(run.run_until(5e-3) == Status::done);
    return voltage(run, 1);
  };
  CHECK(relative_gap(volts(1e-3), 150) < 1e-8);
  CHECK(relative_gap(volts(-1e-3), -150) < 1e-8);
  CHECK(relative_gap(volts(1), 150 * std::pow(1000, 1.0 / 30)) < 1e-8);
}

TEST_CASE("it takes over a coil's energy, all that its resistance leaves; its follower and the books agree") {
  const auto circuit =
      wire<2>(Inductor{0, 1, 0.1, 1e-6, 2.0}, Capacitor{1, 0, 1e-9}, Varistor<double>{1, 0, {100, 20, 1}});
  auto run = start<Rodas5P>(circuit, Settings<double>{.relative = 1e-8, .absolute = 1e-9});
  REQUIRE(run.run_until(0.05) == Status::done);
  CHECK(relative_gap(follower(run, 2), 0.5 * 0.1 * 4) < 1e-4);
  energy_check::check(energy_check::books<Rodas5P>(circuit, 0.05, Settings<double>{.relative = 1e-8, .absolute = 1e-9}),
                      1e-5);
}

TEST_CASE("parameters out of range are refused by part and field") {
  CHECK_THROWS_WITH_AS((Varistor<double>{1, 0, {0, 30, 1}}), "varistor: volts = 0 V, allowed: above 0 V",
                       InvalidParameter);
  CHECK_THROWS_WITH_AS((Varistor<double>{1, 0, {100, 1, 1}}), "varistor: steepness = 1, allowed: 2 to 60",
                       InvalidParameter);
}
