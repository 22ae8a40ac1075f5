// SPDX-License-Identifier: MIT
// Settling in one matrix: what it finds where nothing jumps but unknowns without charge, and where it keeps silent.
#include <gastube/stepping/rest.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/quiet_system.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {

/// x[0]: a capacitor's voltage. x[1]: a node without charge, fed from it and from a source that rises with time, with a
/// cubic resistor to ground.
struct Divider : QuietSystem<double, 2> {
  double capacitance = 1e-6, rise = 3;
  void write(const Instant<double>& at, int, Equations<double>& eq) const {
    const double u = at.x[0], v = at.x[1];
    eq.store(0, 0, capacitance);
    eq.flow(0, (u - v) / 1e3), eq.flow_slope(0, 0, 1e-3), eq.flow_slope(0, 1, -1e-3);
    eq.flow(1, (v - u) / 1e3 + (v - 5 - rise * at.time) / 2e3 + 1e-3 * v * v * v);
    eq.flow_slope(1, 0, -1e-3), eq.flow_slope(1, 1, 1.5e-3 + 3e-3 * v * v);
  }
};

}  // namespace

TEST_CASE("unknowns without charge are found with charges kept, and rates give the time scale") {
  const Divider system;
  Rest<Divider> rest(system);
  auto at = start_at(system, 2.0, 1.3);
  REQUIRE(rest.find(system, 0, at, 1e-8, {}));
  const double u = rest.unknowns()[0], v = rest.unknowns()[1];
  CHECK(u == 2.0);
  CHECK(absolute_gap((v - u) / 1e3 + (v - 5) / 2e3 + 1e-3 * v * v * v, 0) < 1e-9);
  CHECK(rest.algebraic()[0] == 0);
  CHECK(rest.algebraic()[1] == 1);
  CHECK(absolute_gap(rest.currents()[0], (u - v) / 1e3) < 1e-15);
  const double rate = std::abs((v - u) / 1e3 / 1e-6);
  const double node = std::abs((3 / 2e3 + rate * (v > u ? 1 : -1) / 1e3) / (1.5e-3 + 3e-3 * v * v));
  CHECK(relative_gap(rest.time_scale(), std::min((1 + u) / rate, (1 + std::abs(v)) / node)) < 1e-3);
}

TEST_CASE(
    "it keeps silent where charge would be shared at once, where a rate is what a source fixes, or all is loose") {
  struct Wanting : QuietSystem<double, 2> {
    int kind = 0;
    void write(const Instant<double>& at, int, Equations<double>& eq) const {
      if (kind == 0) {  // two capacitors joined by an ideal wire, whose current is x[1]
        eq.store(0, 0, 1e-6), eq.flow(0, at.x[1]), eq.flow_slope(0, 1, 1.0);
        eq.flow(1, at.x[0] - 3), eq.flow_slope(1, 0, 1.0);
      } else if (kind == 1) {  // a node that nothing joins
        eq.store(0, 0, 1e-6), eq.flow(0, at.x[0]), eq.flow_slope(0, 0, 1.0);
      } else {  // a charge that is not linear
        eq.store_increment(0, at.x[0] - eq.base(0)), eq.store_slope(0, 0, 1.0);
        eq.flow(1, at.x[1]), eq.flow_slope(1, 1, 1.0);
      }
    }
  };
  for (const int kind : {0, 1, 2}) {
    CAPTURE(kind);
    Wanting system;
    system.kind = kind;
    Rest<Wanting> rest(system);
    CHECK_FALSE(rest.find(system, 0, start_at(system, 1.0, 0.0), 1e-8, {}));
  }
}

TEST_CASE("it keeps silent where something moves within the restart step") {
  Divider system;
  Rest<Divider> rest(system);
  for (const double farads : {1e-6, 1e-12}) {
    system.capacitance = farads;
    CHECK(rest.find(system, 0, start_at(system, 2.0, 1.3), 1e-8, {}));
  }
  system.capacitance = 1e-16;  // 0.1 ps through 1 kohm
  CHECK_FALSE(rest.find(system, 0, start_at(system, 200.0, 0.0), 1e-8, {}));
}
