// SPDX-License-Identifier: MIT
// Which unknown nothing determines, and circuits that only look as if there were one.
#include <gastube/adapt/dual.hpp>
#include <gastube/stepping/exact/regularity.hpp>

#include "support_for_tests/linear_net.hpp"

#include <doctest/doctest.h>

using namespace gastube;
using namespace gastube::exact;

namespace {

/// What undetermined() says of a net; its size if all is determined.
template <class S>
std::size_t loose_in(const LinearNet<S>& net) {
  SparseRows<S, dynamic_extent> charges, currents;
  REQUIRE(charges.assign(net.n, net.charges.data()) == net.n);
  REQUIRE(currents.assign(net.n, net.currents.data()) == net.n);
  Elimination<S, dynamic_extent> work;
  std::vector<S> room(net.n * net.n);
  std::vector<Plain<S>> errors(net.n);
  return undetermined(net.n, charges, currents, work, room.data(), errors.data());
}

}  // namespace

TEST_CASE("the foremost of a direction is the first of those that are about as large as the largest") {
  const double alike[4] = {0.2, -1.0, 1.0005, 0.9999}, rising[3] = {0.5, 1.0, -1.002}, none[2] = {0, 0};
  CHECK(foremost(4, alike) == 1);
  CHECK(foremost(3, rising) == 2);
  CHECK(foremost(2, none) == 0);
}

TEST_CASE_TEMPLATE("nodes tied to each other but not to ground are found, and one tie to ground is enough", S, float,
                   double, long double) {
  LinearNet<S> net(3);
  net.resistor(1, 0, 100.0);
  net.resistor(2, 3, 4700.0);
  net.capacitor(2, 3, S(1e-6));
  CHECK(loose_in(net) == 1);
  auto by_charge = net, by_current = net;
  by_charge.capacitor(3, 0, S(1e-6));
  CHECK(loose_in(by_charge) == 3);
  by_current.resistor(1, 3, 1e4);
  CHECK(loose_in(by_current) == 3);
}

TEST_CASE("two sources across the same nodes leave their currents open, a resistance in one of them does not") {
  for (const double ohms : {0.0, 0.5}) {
    LinearNet<double> net(1);
    net.resistor(1, 0, 50.0);
    const std::size_t one = net.branch(1, 0, 0.0);
    net.branch(1, 0, ohms);
    CHECK(loose_in(net) == (ohms > 0 ? net.n : one));
  }
}

TEST_CASE("a rate that happens to be a natural one does not make a circuit singular") {
  for (const double rate : {1.7e-3, 1.3, 1.9e3, 1.1e6, 1.5e9}) {
    CAPTURE(rate);
    LinearNet<double> net(1);
    net.capacitor(1, 0, 1.0);
    net.conductance(1, 0, -rate);
    CHECK(loose_in(net) == 1);
  }
}

TEST_CASE("a trace of charge beside large conductances counts, and a leak beside large charges") {
  LinearNet<double> charge(2), leak(2);
  charge.conductance(1, 2, 1e3);
  CHECK(loose_in(charge) == 0);
  charge.capacitor(2, 0, 1e-20);  // only the highest rate lifts it above the round-off
  CHECK(loose_in(charge) == 2);
  leak.capacitor(1, 2, 1.0);
  CHECK(loose_in(leak) == 0);
  leak.conductance(2, 0, 1e-17);  // and only the lowest does this
  CHECK(loose_in(leak) == 2);
}

TEST_CASE("a conductance that is zero ties nothing down, whatever its derivative") {
  using D = Dual<double, 1>;
  LinearNet<D> net(2);
  net.conductance(1, 0, D(1e-3));
  net.conductance(2, 0, D::variable(0.0, 0));
  CHECK(loose_in(net) == 1);
}
