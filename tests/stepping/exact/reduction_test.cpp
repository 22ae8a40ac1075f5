// SPDX-License-Identifier: MIT
// Circuits whose states can be told by looking at them: which they are, their matrices, what the sources force.
#include <gastube/stepping/exact/reduction.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/linear_net.hpp"
#include "support_for_tests/reduction_check.hpp"

#include <doctest/doctest.h>

#include <random>

using namespace gastube;
using namespace gastube::exact;
using closeness::relative_gap;
using Net = LinearNet<double>;
using Reduced = Reduction<double, 12>;

namespace {

const unsigned seed = 20260411;

/// Reduces and checks all that a reduction promises.
Reduced reduced(const Net& net, double tolerance = 1e-13) {
  Reduced r;
  REQUIRE(r.reduce(net.n, net.charges.data(), net.currents.data(), net.sizes.data()) == ReductionStatus::reduced);
  std::mt19937_64 random(seed);
  INFO("seed ", seed);
  const reduction_check::Gaps gaps = reduction_check::gaps(net, r, random);
  CHECK(gaps.flow < tolerance);
  CHECK(gaps.jump < tolerance);
  CHECK(gaps.impulse < tolerance);
  CHECK(gaps.identity < tolerance);
  return r;
}

}  // namespace

TEST_CASE("a source, a resistor, a capacitor: one state with the time constant R C") {
  Net net(2);
  const std::size_t source = net.branch(1, 0, 0.0);
  net.resistor(1, 2, 2200.0);
  net.capacitor(2, 0, 47e-6);
  const Reduced r = reduced(net);
  REQUIRE(r.order() == 1);
  CHECK(r.state(0) == 1);
  CHECK(r.index() == 1);
  CHECK(r.is_mutual());
  CHECK(relative_gap(r.charge_matrix()[0], 47e-6) < 1e-15);
  CHECK(relative_gap(r.current_matrix()[0], 1 / 2200.0) < 1e-15);
  CHECK(relative_gap(r.drive(0, source), 1 / 2200.0) < 1e-15);  // the source drives through the resistor
  CHECK(r.forced(0, source) == 1);
  CHECK(r.forced(1, source) == 0);
  CHECK(relative_gap(r.forced(source, source), -1 / 2200.0) < 1e-15);
  CHECK(relative_gap(r.shape(source, 0), 1 / 2200.0) < 1e-15);
}

TEST_CASE("a resonant circuit: capacitor voltage and inductor current") {
  Net net(3);
  const std::size_t source = net.branch(1, 0, 0.0);
  net.resistor(1, 2, 10.0);
  const std::size_t current = net.inductor(2, 3, 0.1, 4.0);
  net.capacitor(3, 0, 1e-6);
  const Reduced r = reduced(net);
  REQUIRE(r.order() == 2);
  CHECK(r.state(0) == 2);
  CHECK(r.state(1) == current);
  CHECK(r.charge_matrix()[0] == 1e-6);
  CHECK(r.charge_matrix()[3] == -0.1);
  CHECK(r.charge_matrix()[1] == 0);
  CHECK(relative_gap(r.current_matrix()[3], -14.0) < 1e-15);
  CHECK(relative_gap(r.drive(1, source), -1.0) < 1e-15);
}

TEST_CASE("resistors alone have no state") {
  Net net(2);
  const std::size_t source = net.branch(1, 0, 0.0);
  net.resistor(1, 2, 1000.0);
  net.resistor(2, 0, 3000.0);
  const Reduced r = reduced(net);
  CHECK(r.order() == 0);
  CHECK(relative_gap(r.forced(1, source), 0.75) < 1e-15);
}

TEST_CASE("a floating capacitor between two resistors is one state, and both nodes follow it") {
  Net net(2);
  net.resistor(1, 0, 1e3);
  net.capacitor(1, 2, 1e-6);
  net.resistor(2, 0, 9e3);
  const Reduced r = reduced(net);
  REQUIRE(r.order() == 1);
  // the voltage across falls with (R1 + R2) C, however the state is chosen
  CHECK(relative_gap(r.charge_matrix()[0] / r.current_matrix()[0], 10e-3) < 1e-15);
  CHECK(relative_gap(r.shape(1, 0), -9 * r.shape(0, 0)) < 1e-15);
}

TEST_CASE("nodes joined only by capacitors keep their charge: a mode that does not fall") {
  Net net(3);
  net.resistor(1, 0, 1e3);
  net.capacitor(1, 2, 1e-6);
  net.capacitor(2, 0, 2e-6);
  net.capacitor(2, 3, 5e-9);
  net.capacitor(3, 0, 3e-12);
  const Reduced r = reduced(net);
  REQUIRE(r.order() == 3);
  for (const std::size_t k : {1U, 2U})
    for (std::size_t l = 0; l < 3; ++l) CHECK(r.current_matrix()[k * 3 + l] == 0);
}

TEST_CASE("two states across a contact of a milliohm keep the leak of a gigohm beside it") {
  Net net(2);
  net.capacitor(1, 0, 1e-9);
  net.capacitor(2, 0, 1e-6);
  net.resistor(1, 0, 3e9);
  const std::size_t contact = net.branch(1, 2, 1e-3);
  const Reduced r = reduced(net);
  REQUIRE(r.order() == 2);
  // Told by the voltage of the larger capacitor and the contact's current i: V1 = V2 + R i. As conductances 1000 and
  // 3e-10 S would have to be told apart.
  CHECK(r.state(0) == 1);
  CHECK(r.state(1) == contact);
  CHECK(relative_gap(r.current_matrix()[0], 1 / 3e9) < 1e-15);
  CHECK(relative_gap(r.current_matrix()[1], 1e-3 / 3e9) < 1e-15);
  CHECK(relative_gap(r.current_matrix()[2], 1e-3 / 3e9) < 1e-15);
  CHECK(relative_gap(r.current_matrix()[3], 1e-3) < 1e-12);
  CHECK(relative_gap(r.charge_matrix()[0], 1.001e-6) < 1e-15);
  CHECK(relative_gap(r.charge_matrix()[3], 1e-15) < 1e-15);
}

TEST_CASE("windings coupled in part have a state each, coupled perfectly one less") {
  for (const double coupling : {0.98, 1.0}) {
    CAPTURE(coupling);
    Net net(3);
    net.branch(1, 0, 0.0);
    net.resistor(1, 2, 5.0);
    const double l1 = 0.3, l2 = 0.7;
    const std::size_t one = net.inductor(2, 0, l1, 2.0), two = net.inductor(3, 0, l2, 3.0);
    net.mutual(one, two, coupling * std::sqrt(l1 * l2));
    net.resistor(3, 0, 470.0);
    const Reduced r = reduced(net);
    CHECK(r.order() == (coupling < 1 ? 2 : 1));
    CHECK(r.index() == 1);
  }
}

TEST_CASE("charges of picofarads beside millifarads count, and sums that cancel do not") {
  Net net(3);
  net.capacitor(1, 2, 1e-3);
  net.capacitor(2, 3, 1e-12);
  net.resistor(1, 0, 10.0);
  net.resistor(3, 0, 1e6);
  net.resistor(2, 0, 1e6);
  // Nothing but the two voltages across: the rounding of the sum 1 mF + 1 pF is no third. It has cost 7 digits of 1 pF.
  CHECK(reduced(net, 1e-7).order() == 2);
  net.capacitor(3, 0, 1e-12);
  CHECK(reduced(net).order() == 3);
}

TEST_CASE("an amplifying stage is reduced though its matrix is not symmetric") {
  Net net(3);
  net.branch(1, 0, 0.0);
  net.resistor(1, 2, 1e4);
  net.capacitor(2, 0, 3e-12);
  net.capacitor(2, 3, 2e-12);
  net.controlled(3, 0, 2, 2e-3);
  net.resistor(3, 0, 22e3);
  const Reduced r = reduced(net);
  CHECK(r.order() == 2);
  CHECK_FALSE(r.is_mutual());
}

TEST_CASE("states that keep their charge keep their value, bit for bit") {
  Net net(3);
  net.capacitor(1, 0, 1e-3);
  net.capacitor(1, 2, 3e-12);
  net.capacitor(2, 0, 7e-9);
  net.resistor(2, 3, 1e3);
  net.resistor(1, 0, 1e3);
  Reduced r = reduced(net);
  const double before[3] = {1.0 / 3, 2.0 / 7, 99.0};
  double v[3];
  r.conserve(before, v);
  REQUIRE(r.order() == 2);
  CHECK(v[0] == before[0]);
  CHECK(v[1] == before[1]);
}

TEST_CASE("open contacts and leaking tubes leave a circuit mutual") {
  Net net(3);
  const std::size_t source = net.branch(1, 0, 0.0);
  const std::size_t contact = net.open_branch(1, 2, 0.0), tube = net.open_branch(2, 3, 1e-9);
  net.capacitor(2, 0, 1e-6);
  net.capacitor(3, 0, 2e-6);
  net.capacitor(2, 3, 3e-12);
  net.resistor(3, 0, 1e5);
  const Reduced r = reduced(net);
  REQUIRE(r.order() == 2);
  CHECK(r.is_mutual());
  CHECK(relative_gap(r.current_matrix()[0], 1e-9) < 1e-15);
  CHECK(r.shape(contact, 0) == 0);
  CHECK(relative_gap(r.shape(tube, 0), 1e-9) < 1e-15);
  CHECK(relative_gap(r.shape(tube, 1), -1e-9) < 1e-15);
  // what their own rows get, a dark current say, is their current and flows off the nodes
  CHECK(r.forced(tube, tube) == 1);
  CHECK(r.drive(0, tube) == -1);
  CHECK(r.drive(1, tube) == 1);
  CHECK(r.drive(0, contact) == 1);
  CHECK(r.forced(source, contact) == -1);
}
