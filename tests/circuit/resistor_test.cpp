// SPDX-License-Identifier: MIT
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/shared_run.hpp"

#include <doctest/doctest.h>

using namespace gastube;
using closeness::relative_gap;

namespace {
/// A divider of 1 kohm above 3 kohm at 48 V; the lower resistor is wired against the direction of its current.
template <class S>
[[nodiscard]] auto divider() {
  enum { ground, supply, middle, node_count };
  return shared_start(wire<node_count>(DcSource{supply, ground, S(48)},
                                       named("upper", Resistor{supply, middle, S(1e3)}),
                                       named("lower", Resistor{ground, middle, S(3e3)})));
}
}  // namespace

TEST_CASE_TEMPLATE("a divider divides in proportion to its resistances, from the start on", S, float, double,
                   long double) {
  auto run = divider<S>();
  const double round = 8 * double(round_off<S>);
  CHECK(relative_gap(voltage(run, 2), 36) < round);
  CHECK(relative_gap(current(run, "upper"), S(12e-3L)) < round);
  CHECK(relative_gap(current(run, "lower"), S(-12e-3L)) < round);  // counted from its first node to its second
  REQUIRE(run.run_until(S(1)) == Status::done);
  CHECK(relative_gap(voltage(run, 2), 36) < round);
}

TEST_CASE("a resistor's current is that of its two nodes, wherever it stands in the circuit") {
  auto run = divider<double>();
  CHECK(current(run, 1) == current(run, "upper"));
  CHECK(relative_gap(current(run, "dc source"), 12e-3) < 1e-15);
}

TEST_CASE("a resistor names its two nodes") { CHECK(Resistor{3, 7, 1.0}.terminals() == std::array<Node, 2>{3, 7}); }
