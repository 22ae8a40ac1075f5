// SPDX-License-Identifier: MIT
// Charges and fluxes that a jump moves, by hand.
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/circuit.hpp>
#include <gastube/circuit/contact.hpp>
#include <gastube/circuit/inductor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/stepping/impulse.hpp>

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

using namespace gastube;
using closeness::relative_gap;

namespace {

struct Passed {
  std::vector<double> impulse;
  double left;
};
template <class Wired>
[[nodiscard]] Passed between(const Wired& circuit, const std::vector<double>& before,
                             const std::vector<double>& after) {
  REQUIRE(before.size() == circuit.unknowns());
  Impulse<Wired> impulse;
  const double left =
      impulse.find(circuit, circuit.start_mode(), {0.0, before.data(), nullptr}, {0.0, after.data(), nullptr});
  return {impulse.passed(), left};
}

}  // namespace

TEST_CASE("a closed contact passes the charge that two capacitors share, the source nothing") {
  // nodes 1, 2; the currents of contact, source; 1 uF at 100 V onto 3 uF: 75 uC to 25 V. The source hangs on 1 kohm.
  const auto circuit = wire<4>(Capacitor{1, 0, 1e-6}, Capacitor{2, 0, 3e-6}, Contact{1, 2, true, 0.0},
                               DcSource{3, 0, 50.0}, Resistor{3, 1, 1e3});
  const Passed found = between(circuit, {100, 0, 50, 0, 0.05}, {25, 25, 50, 0.01, -0.025});
  CHECK(relative_gap(found.impulse[3], 75e-6) < 1e-12);
  CHECK(std::fabs(found.impulse[4]) < 1e-18);
  for (std::size_t node = 0; node < 3; ++node) CHECK(std::fabs(found.impulse[node]) < 1e-18);
  CHECK(found.left < 1e-14);
}

TEST_CASE("a microcoulomb from nowhere is left over") {
  const auto circuit = wire<3>(Capacitor{1, 0, 1e-6}, Capacitor{2, 0, 3e-6}, Contact{1, 2, true, 0.0});
  const Passed found = between(circuit, {100, 0, 0}, {25.25, 25.25, 0});  // 101 uC
  CHECK(found.left > 1e-3);
  CHECK(found.left < 1e-1);
  const auto open = wire<3>(Capacitor{1, 0, 1e-6}, Capacitor{2, 0, 3e-6}, Contact{1, 2, false, 0.0});
  CHECK(between(open, {100, 0, 0}, {100, 0, 0}).left == 0);
  CHECK(between(open, {100, 0, 0}, {25, 25, 0}).left > 0.1);
}

TEST_CASE(
    "what is within round-off of the unknowns is not missing, however little charge there is; what is beyond is") {
  // node 1 at 200 V, a resistor to node 2, whose capacitor is empty but for rounding
  const auto circuit = wire<3>(DcSource{1, 0, 200.0}, Resistor{1, 2, 1e6}, Capacitor{2, 0, 1e-6});
  CHECK(between(circuit, {200, 0, -2e-4}, {200, 1e-14, -2e-4}).left == 0);
  CHECK(between(circuit, {200, 1e-15, -2e-4}, {200, 0, -2e-4}).left == 0);
  CHECK(between(circuit, {200, 0, -2e-4}, {200, 1e-11, -2e-4}).left > 0.1);
}

TEST_CASE("a source passes its charge through a closed contact") {
  const auto circuit = wire<3>(DcSource{1, 0, 100.0}, Capacitor{2, 0, 3e-6}, Contact{1, 2, true, 0.0});
  const Passed found = between(circuit, {100, 0, 0, 0}, {100, 100, 0, 0});
  CHECK(relative_gap(found.impulse[2], -300e-6) < 1e-12);  // out of plus
  CHECK(relative_gap(found.impulse[3], 300e-6) < 1e-12);
  CHECK(found.left < 1e-14);
}

TEST_CASE("two coils whose current is broken share the impulse of voltage as their inductances") {
  // 10 mH from node 1 to 2, 1 uF from 2 to 3, 30 mH from 3 to ground; 2 A are broken at node 1.
  const auto circuit = wire<5>(Contact{4, 1, false, 0.0}, Inductor{1, 2, 10e-3}, Capacitor{2, 3, 1e-6},
                               Inductor{3, 0, 30e-3}, DcSource{4, 0, 10.0});
  const Passed found = between(circuit, {0, 5, 1, 10, 2, 2, 2, -2}, {0, 5, 1, 10, 0, 0, 0, 0});
  CHECK(relative_gap(found.impulse[0], -80e-3) < 1e-12);
  CHECK(relative_gap(found.impulse[1], -60e-3) < 1e-12);
  CHECK(relative_gap(found.impulse[2], -60e-3) < 1e-12);
  CHECK(found.left < 1e-14);
}
