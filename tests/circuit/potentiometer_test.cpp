// SPDX-License-Identifier: MIT
#include <gastube/circuit/potentiometer.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/shared_run.hpp"

#include <doctest/doctest.h>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {
enum { ground, supply, wiper, node_count };

/// 10 kohm across 30 V, its wiper loaded with 5 kohm.
template <class S>
[[nodiscard]] auto divider(S position) {
  return shared_start(wire<node_count>(DcSource{supply, ground, S(30)},
                                       Potentiometer{ground, wiper, supply, S(10e3), position},
                                       Resistor{wiper, ground, S(5e3)}));
}
}  // namespace

TEST_CASE_TEMPLATE("a loaded wiper stands where the two sides and the load put it, ends included", S, float, double,
                   long double) {
  for (const double x : {0.0, 0.001, 0.3, 0.5, 0.999, 1.0}) {
    CAPTURE(x);
    auto run = divider(S(x));
    REQUIRE(succeeded(run.start_status()));
    const auto share = static_cast<long double>(S(x));  // closed form: x / (1 + x (1 - x) R / R_load)
    CHECK(absolute_gap(voltage(run, wiper), 30 * share / (1 + share * (1 - share) * 2)) < 300 * double(round_off<S>));
    CHECK(absolute_gap(current(run, "potentiometer"), voltage(run, wiper) / S(5e3)) < double(round_off<S>));
  }
}

TEST_CASE("it is turned between steps") {
  auto run = divider(0.2);
  REQUIRE(run.run_until(1e-3) == Status::done);
  REQUIRE(run.alter([](auto& circuit, auto&) { circuit.template entry<1>().position = 1.0; }) == Status::event);
  CHECK(relative_gap(voltage(run, wiper), 30.0) < 1e-14);
  REQUIRE(run.alter([](auto& circuit, auto&) { circuit.template entry<1>().position = 0.0; }) == Status::event);
  CHECK(absolute_gap(voltage(run, wiper), 0.0) < 1e-14);
  REQUIRE(run.run_until(2e-3) == Status::done);
}

TEST_CASE("with the wiper wired to an end it is a variable resistor down to nothing") {
  for (const double x : {0.0, 0.25, 1.0}) {
    CAPTURE(x);
    auto run = shared_start(wire<node_count>(DcSource{supply, ground, 30.0}, Resistor{supply, wiper, 1e3},
                                             Potentiometer{ground, wiper, wiper, 2e3, x}));
    REQUIRE(succeeded(run.start_status()));
    CHECK(absolute_gap(voltage(run, wiper), 30 * 2 * x / (1 + 2 * x)) < 1e-13);
  }
}

TEST_CASE("a wiper beyond the ends is refused") {
  CHECK_THROWS_WITH_AS((Potentiometer{ground, wiper, supply, 10e3, 1.01}),
                       "potentiometer: position = 1.01, allowed: 0 to 1", InvalidParameter);
  CHECK_THROWS_WITH_AS((Potentiometer{ground, wiper, supply, 0.0, 0.5}),
                       "potentiometer: resistance = 0 ohm, allowed: above 0 ohm", InvalidParameter);
}
