// SPDX-License-Identifier: MIT
// Circuits with hidden constraints (capacitors across sources, cut-sets of inductors), the impulses they make, and
// circuits that nothing determines.
#include <gastube/stepping/exact/reduction.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/linear_net.hpp"
#include "support_for_tests/reduction_check.hpp"

#include <doctest/doctest.h>

#include <limits>
#include <random>

using namespace gastube;
using namespace gastube::exact;
using closeness::relative_gap;
using Net = LinearNet<double>;
using Reduced = Reduction<double, 12>;

namespace {

const unsigned seed = 20260412;

ReductionStatus status_of(const Net& net, Reduced& r) {
  return r.reduce(net.n, net.charges.data(), net.currents.data(), net.sizes.data());
}

Reduced hidden(const Net& net, std::size_t order) {
  Reduced r;
  REQUIRE(status_of(net, r) == ReductionStatus::reduced);
  std::mt19937_64 random(seed);
  INFO("seed ", seed);
  const reduction_check::Gaps gaps = reduction_check::gaps(net, r, random);
  CHECK(gaps.flow < 1e-13);
  CHECK(gaps.jump < 1e-13);
  CHECK(gaps.impulse < 1e-13);
  CHECK(gaps.identity < 1e-13);
  CHECK(r.order() == order);
  CHECK(r.index() == 2);
  return r;
}

}  // namespace

TEST_CASE("a capacitor across a source draws C dV/dt, and an impulse where the voltage jumps") {
  Net net(2);
  const std::size_t source = net.branch(1, 0, 0.0);
  net.capacitor(1, 0, 3e-6);
  net.resistor(1, 2, 1e3);
  net.capacitor(2, 0, 1e-6);
  Reduced r = hidden(net, 1);
  CHECK(r.state(0) == 1);
  CHECK(relative_gap(r.forced_by_slope(source, source), -3e-6) < 1e-15);
  CHECK(r.forced_by_slope(0, source) == 0);
  CHECK(r.forced_by_slope(1, source) == 0);
  const double change[3] = {5.0, 0.0, 0.0};
  double impulse[3];
  r.impulses(change, impulse);
  CHECK(relative_gap(impulse[source], -15e-6) < 1e-15);
  CHECK(impulse[0] == 0);
  CHECK(impulse[1] == 0);
}

TEST_CASE("a loop of a source and two capacitors shares the jump by their capacitances") {
  Net net(2);
  const std::size_t source = net.branch(1, 0, 0.0);
  net.capacitor(1, 2, 2e-6);
  net.capacitor(2, 0, 6e-6);
  net.resistor(2, 0, 1e3);
  Reduced r = hidden(net, 1);
  double before[3] = {0, 0, 0}, v[1];
  r.conserve(before, v);
  // 8 V on a quarter and three quarters
  double after[3];
  for (std::size_t i = 0; i < 3; ++i) after[i] = r.shape(i, 0) * v[0] + r.forced(i, source) * 8.0;
  CHECK(relative_gap(after[0], 8.0) < 1e-15);
  CHECK(relative_gap(after[1], 2.0) < 1e-15);
}

TEST_CASE("a contact without resistance joins two capacitors: charge is kept, the impulse is what flows over") {
  Net net(2);
  net.capacitor(1, 0, 1e-6);
  net.capacitor(2, 0, 4e-6);
  const std::size_t contact = net.branch(1, 2, 0.0);
  net.resistor(2, 0, 1e4);
  Reduced r = hidden(net, 1);
  const double before[3] = {100.0, 0.0, 0.0};
  double v[1], change[3], impulse[3];
  r.conserve(before, v);
  for (std::size_t i = 0; i < 3; ++i) change[i] = r.shape(i, 0) * v[0] - before[i];
  CHECK(relative_gap(before[0] + change[0], 20.0) < 1e-14);
  CHECK(relative_gap(before[1] + change[1], 20.0) < 1e-14);
  r.impulses(change, impulse);
  CHECK(relative_gap(impulse[contact], 80e-6) < 1e-14);
}

TEST_CASE("a contact without resistance across a charged capacitor takes all its charge at once") {
  Net net(1);
  net.capacitor(1, 0, 1e-6);
  const std::size_t contact = net.branch(1, 0, 0.0);
  Reduced r = hidden(net, 0);
  const double change[2] = {-300.0, 0.0};
  double impulse[2];
  r.impulses(change, impulse);
  CHECK(relative_gap(impulse[contact], 300e-6) < 1e-15);
}

TEST_CASE("inductors that meet at a node of their own share a flux, and the node's voltage takes the impulse") {
  Net net(2);
  const std::size_t source = net.branch(1, 0, 0.0);
  const std::size_t one = net.inductor(1, 2, 0.2, 5.0), two = net.inductor(2, 0, 0.3, 7.0);
  Reduced r = hidden(net, 1);
  double before[5] = {10.0, 0.0, 0.0, 2.0, 1.0}, v[1], change[5], impulse[5];
  r.conserve(before, v);
  for (std::size_t i = 0; i < 5; ++i) change[i] = r.shape(i, 0) * v[0] + 10.0 * r.forced(i, source) - before[i];
  // 0.2 H * 2 A + 0.3 H * 1 A over both
  CHECK(relative_gap(before[one] + change[one], 1.4) < 1e-14);
  CHECK(relative_gap(before[two] + change[two], 1.4) < 1e-14);
  r.impulses(change, impulse);
  CHECK(relative_gap(impulse[1], 0.3 * 0.4) < 1e-14);  // V s on the node between
}

TEST_CASE("an inductor driven by a current source is forced: its voltage is L dI/dt") {
  Net net(2);
  net.resistor(1, 0, 50.0);
  const std::size_t coil = net.inductor(1, 2, 0.2, 1.0);
  const std::size_t drawn = 1;  // source row of node 2: a current into it
  const Reduced r = hidden(net, 0);
  CHECK(r.forced(coil, drawn) == -1);
  CHECK(relative_gap(r.forced_by_slope(1, drawn), 0.2) < 1e-15);
}

TEST_CASE("perfectly coupled windings without resistance pass a source's voltage on by the turns ratio") {
  Net net(2);
  const std::size_t source = net.branch(1, 0, 0.0);
  const std::size_t one = net.inductor(1, 0, 0.5, 0.0), two = net.inductor(2, 0, 0.02, 0.0);
  net.mutual(one, two, 0.1);
  net.resistor(2, 0, 8.0);
  Reduced r;
  REQUIRE(status_of(net, r) == ReductionStatus::reduced);
  CHECK(r.order() == 1);
  CHECK(relative_gap(r.forced(1, source), 0.2) < 1e-14);
}

TEST_CASE("a circuit of which nothing determines a part is refused, and the unknown is told") {
  Reduced r;
  SUBCASE("two nodes joined by a capacitor and nothing else") {
    Net net(3);
    net.resistor(1, 0, 1e3);
    net.capacitor(2, 3, 1e-6);
    CHECK(status_of(net, r) == ReductionStatus::singular);
    CHECK(r.row() == 1);
  }
  SUBCASE("a node without a path") {
    Net net(3);
    net.resistor(1, 3, 1e3);
    net.resistor(3, 0, 1e3);
    CHECK(status_of(net, r) == ReductionStatus::singular);
    CHECK(r.row() == 1);
  }
  SUBCASE("three nodes joined by capacitors and resistors, none to ground") {
    Net net(4);
    net.capacitor(1, 0, 1e-6);
    net.capacitor(2, 3, 0.1e-6);
    net.capacitor(3, 4, 3e-12);
    net.resistor(2, 3, 0.3);
    net.resistor(3, 4, 7e6);
    net.resistor(4, 2, 1.1e3);
    CHECK(status_of(net, r) == ReductionStatus::singular);
    CHECK(r.row() == 1);
  }
  SUBCASE("two sources in one loop") {
    Net net(1);
    net.branch(1, 0, 0.0);
    net.branch(1, 0, 0.0);
    CHECK(status_of(net, r) == ReductionStatus::singular);
    CHECK(r.row() == 1);
  }
  SUBCASE("two coils without resistance across a source share their current, but the state tells how") {
    Net net(1);
    net.branch(1, 0, 0.0);
    net.inductor(1, 0, 0.1, 0.0);
    net.inductor(1, 0, 0.2, 0.0);
    CHECK(status_of(net, r) == ReductionStatus::reduced);
    CHECK(r.order() == 2);
  }
}

TEST_CASE("with a path to ground the same nodes are solved") {
  Net net(3);
  net.resistor(1, 0, 1e3);
  net.capacitor(2, 3, 1e-6);
  net.resistor(3, 0, 1e12);
  Reduced r;
  REQUIRE(status_of(net, r) == ReductionStatus::reduced);
  REQUIRE(r.order() == 1);
  CHECK(r.current_matrix()[0] == 0);  // nothing discharges the capacitor
  CHECK(r.charge_matrix()[0] > 0);
}

TEST_CASE("a second derivative is refused: a chain of ideal amplifiers that differentiate") {
  // C d(u)/dt flows into a node held at zero by an amplifier whose output feeds it back through a resistor; twice.
  Net net(5);
  net.branch(1, 0, 0.0);
  net.capacitor(1, 2, 1e-6);
  net.resistor(2, 3, 1e4);
  net.capacitor(3, 4, 1e-6);
  net.resistor(4, 5, 1e4);
  for (const std::size_t stage : {2U, 4U}) {  // output stage + 1 gives the current that holds input `stage` at zero
    const std::size_t i = net.branch(stage + 1, 0, 0.0);
    for (std::size_t j = 0; j < net.n; ++j) net.at(net.currents, i, j) = 0;
    net.at(net.currents, i, stage - 1) = 1;
  }
  Reduced r;
  CHECK(status_of(net, r) == ReductionStatus::index_too_high);
}

TEST_CASE("numbers that are none are refused with their equation") {
  Net net(2);
  net.resistor(1, 0, 1e3);
  net.capacitor(2, 0, std::numeric_limits<double>::quiet_NaN());
  Reduced r;
  CHECK(status_of(net, r) == ReductionStatus::not_finite);
  CHECK(r.row() == 1);
}

TEST_CASE("a contact within a group of capacitors ties two of them, and says nothing about the level of all") {
  // A chain of capacitors of very unlike sizes, tied to ground by one resistor; the contact joins two of its nodes.
  std::mt19937_64 random(seed);
  INFO("seed ", seed);
  for (int turn = 0; turn < 200; ++turn) {
    Net net(6);
    for (std::size_t k = 1; k < 6; ++k)
      net.capacitor(k, k + 1, std::pow(10.0, std::uniform_real_distribution<double>(-12, -6)(random)));
    net.capacitor(1, 6, 1e-9 / 3);
    net.resistor(1 + random() % 6, 0, 1e6);
    net.branch(1, 4, 0.0);
    Reduced r;
    REQUIRE(status_of(net, r) == ReductionStatus::reduced);
    CHECK(r.order() == 4);  // five voltages across, less the one that is held at 0
    CHECK(r.index() == 2);
  }
}

TEST_CASE("currents do not take the place of voltages where charges could then not be told apart") {
  // From 0.1 nF to 8 mF in one group whose ends are held by sources, with leaks of nanosiemens.
  Net net(7);
  net.capacitor(1, 3, std::exp2(-33));
  net.capacitor(2, 5, std::exp2(-7));
  net.capacitor(3, 5, std::exp2(-13));
  net.capacitor(4, 5, std::exp2(-36));
  net.conductance(1, 0, std::exp2(-29));
  net.conductance(2, 0, std::exp2(-14));
  net.conductance(3, 0, std::exp2(-29));
  net.conductance(4, 0, 64.0);
  net.conductance(4, 5, std::exp2(-27));
  net.conductance(4, 6, std::exp2(-22));
  net.branch(1, 0, 0.0);
  net.branch(5, 0, 0.0);
  net.inductor(7, 6, 0.5, 32.0);
  net.inductor(7, 0, std::exp2(-7), 0.0);
  const Reduced r = hidden(net, 4);
  for (std::size_t k = 0; k < 3; ++k) CHECK(r.state(k) < 5);  // voltages; the coils in series share the fourth
}
