// SPDX-License-Identifier: MIT
// Unknowns that their own equation states: which count as such, and that results are the same with and without them.
#include <gastube/adapt/dual.hpp>
#include <gastube/stepping/exact/stated_unknowns.hpp>

#include "support_for_tests/linear_net.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <random>

using namespace gastube;
using namespace gastube::exact;
using Net = LinearNet<double>;

namespace {

template <class S>
std::vector<S> take_out(StatedUnknowns<S, 8>& stated, const LinearNet<S>& net) {
  std::vector<S> cleared(net.n * net.n, S(99));
  stated.take_out(net.n, net.charges.data(), net.currents.data(), cleared.data());
  return cleared;
}
/// How many there are when the given entry is another.
std::size_t count_with(Net net, std::vector<double> Net::*matrix, std::size_t i, std::size_t j, double value) {
  net.at(net.*matrix, i, j) = value;
  StatedUnknowns<double, 8> stated;
  take_out(stated, net);
  return stated.count();
}

}  // namespace

TEST_CASE("an open contact and a dark tube are taken out, and their leaks stay between the nodes") {
  Net net(2);
  const std::size_t contact = net.open_branch(1, 2, 0.0), tube = net.open_branch(2, 0, 0.25);
  StatedUnknowns<double, 8> stated;
  CHECK(take_out(stated, net) == std::vector<double>{0, 0, 0, 0, 0, 0.25, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1});
  REQUIRE(stated.count() == 2);
  CHECK((stated[0] == tube && stated[1] == contact));
}

TEST_CASE("what is charged, mirrored, large beside its diagonal, tied to another or no number is not stated") {
  Net net(2);
  const std::size_t source = net.branch(1, 0, 0.0), i = net.open_branch(2, 1, 0.125);
  CHECK(count_with(net, &Net::currents, i, source, 0.0) == 1);  // the source's own current is none
  for (const double entry : {-1.5, 1.0, std::numeric_limits<double>::quiet_NaN()})
    CHECK(count_with(net, &Net::currents, i, 1, entry) == 0);
  for (const std::size_t k : {std::size_t(0), i}) {
    CHECK(count_with(net, &Net::charges, i, k, 1e-9) == 0);
    CHECK(count_with(net, &Net::charges, k, i, 1e-9) == 0);
  }
  const std::size_t other = net.open_branch(2, 1, 0.25), alone = net.open_branch(0, 0, 0.0);
  CHECK(count_with(net, &Net::currents, i, other, 0.0) == 2);
  CHECK(count_with(net, &Net::currents, alone, alone, 2.0) == 2);  // nothing to take out
  CHECK(count_with(net, &Net::currents, i, other, 0.5) == 1);
}

TEST_CASE("what is left is R G C, with R and C as they put the results back") {
  const unsigned seed = 20260520;
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> some(0.1, 0.6);
  for (int turn = 0; turn < 20; ++turn) {
    INFO("seed ", seed, ", net ", turn);
    Net net(3);
    for (std::size_t node = 1; node <= 3; ++node) net.conductance(node, node - 1, some(random));
    for (const std::size_t end : {0U, 1U, 2U}) {
      const std::size_t i = net.open_branch(3, end, some(random));
      net.at(net.currents, i, i) = 1.25;
    }
    StatedUnknowns<double, 8> stated;
    const std::size_t n = net.n;
    const auto cleared = take_out(stated, net);
    REQUIRE(stated.count() == 3);
    std::vector<double> unit(n * n, 0.0);
    for (std::size_t i = 0; i < n; ++i) unit[i * n + i] = 1.0;
    auto r = unit, c = unit, c_mirrored = unit;
    stated.drive_vectors(r.data(), n);
    stated.state_rows(c.data(), n);
    stated.state_vectors(c_mirrored.data(), n);
    for (std::size_t i = 0; i < n; ++i)
      for (std::size_t j = 0; j < n; ++j) {
        CHECK(c_mirrored[j * n + i] == c[i * n + j]);
        double product = 0;
        for (std::size_t e = 0; e < n * n; ++e) product += r[i * n + e / n] * net.currents[e] * c[e % n * n + j];
        CHECK(std::fabs(product - cleared[i * n + j]) < 1e-14);
      }
  }
}

TEST_CASE("a leak of zero that carries a derivative leaves it to the nodes and to the current") {
  using D = Dual<double, 1>;
  LinearNet<D> net(1);
  const std::size_t tube = net.open_branch(1, 0, D::variable(0.0, 0));
  StatedUnknowns<D, 8> stated;
  CHECK(take_out(stated, net)[0].partial(0) == 1);
  REQUIRE(stated.count() == 1);
  D unknowns[2] = {D(80), D(0)};
  stated.state_vectors(unknowns, 1);
  CHECK(unknowns[tube].partial(0) == 80);
}
