// SPDX-License-Identifier: MIT
// Random circuits of all kinds keep what a reduction promises; orders by counting; ladders; every scalar.
#include <gastube/adapt/dual.hpp>
#include <gastube/stepping/exact/reduction.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/linear_net.hpp"
#include "support_for_tests/reduction_check.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <random>

using namespace gastube;
using namespace gastube::exact;
using closeness::relative_gap;

namespace {

using Random = std::mt19937_64;

/// A value between 10^from and 10^to, evenly in its logarithm.
double decade(Random& random, double from, double to) {
  return std::pow(10.0, std::uniform_real_distribution<double>(from, to)(random));
}

/// Which parts a random circuit may hold.
struct Kinds {
  bool inductors = false, contacts = false, amplifiers = false, hidden = false;
};

/// Every node has some path to ground through resistors; the spread of values grows with `decades`.
template <class S>
LinearNet<S> random_net(Random& random, const Kinds& kinds, double decades) {
  const auto below = [&](std::size_t n) { return std::size_t(random() % n); };
  const std::size_t nodes = 2 + below(5);
  LinearNet<S> net(nodes);
  for (std::size_t k = 1; k <= nodes; ++k)
    net.conductance(k, below(k), S(decade(random, -3 - decades / 2, -3 + decades / 2)));
  const auto pair = [&](auto&& part) {
    const std::size_t a = 1 + below(nodes), b = below(nodes + 1);
    if (a != b) part(a, b);
  };
  for (std::size_t e = below(nodes + 2); e > 0; --e)
    pair([&](std::size_t a, std::size_t b) { net.capacitor(a, b, S(decade(random, -8 - decades / 2, -8 + decades / 2))); });
  if (kinds.amplifiers)
    pair([&](std::size_t a, std::size_t b) { net.controlled(a, 0, b > 0 ? b : 1, S(decade(random, -4, -2))); });
  if (kinds.inductors)
    for (std::size_t e = 1 + below(2); e > 0; --e)
      pair([&](std::size_t a, std::size_t b) { net.inductor(a, b, S(decade(random, -4, 0)), S(decade(random, 0, 2))); });
  if (kinds.contacts)
    pair([&](std::size_t a, std::size_t b) { net.branch(a, b, S(decade(random, -3, 4))); });
  if (kinds.hidden) net.branch(1, 0, S(0));
  return net;
}

constexpr std::size_t room = 16;

template <class S, class Reduced>
ReductionStatus reduce(const LinearNet<S>& net, Reduced& r) {
  std::vector<Plain<S>> sizes(net.sizes.begin(), net.sizes.end());
  return r.reduce(net.n, net.charges.data(), net.currents.data(), sizes.data());
}

/// Worst gaps of `runs` random circuits; none may be refused.
reduction_check::Gaps worst_of(int runs, unsigned seed, const Kinds& kinds, double decades) {
  Random random(seed);
  reduction_check::Gaps worst;
  Reduction<double, room> r;
  for (int run = 0; run < runs; ++run) {
    const LinearNet<double> net = random_net<double>(random, kinds, decades);
    INFO("seed ", seed, ", circuit ", run);
    REQUIRE(reduce(net, r) == ReductionStatus::reduced);
    const reduction_check::Gaps gaps = reduction_check::gaps(net, r, random);
    worst.flow = std::fmax(worst.flow, gaps.flow);
    worst.jump = std::fmax(worst.jump, gaps.jump);
    worst.impulse = std::fmax(worst.impulse, gaps.impulse);
    worst.identity = std::fmax(worst.identity, gaps.identity);
    CHECK(r.is_mutual() == !kinds.amplifiers);
    for (std::size_t i = 0; r.is_mutual() && i < r.order(); ++i)
      for (std::size_t j = 0; j < i; ++j) {
        CHECK(r.charge_matrix()[i * r.order() + j] == r.charge_matrix()[j * r.order() + i]);
        CHECK(r.current_matrix()[i * r.order() + j] == r.current_matrix()[j * r.order() + i]);
      }
  }
  return worst;
}

}  // namespace

TEST_CASE("random circuits keep what a reduction promises") {
  const unsigned seed = 20260413;
  const auto check = [&](const Kinds& kinds, double decades, double tolerance) {
    const reduction_check::Gaps worst = worst_of(60, seed, kinds, decades);
    CAPTURE(decades);
    CHECK(worst.flow < tolerance);
    CHECK(worst.jump < tolerance);
    CHECK(worst.impulse < tolerance);
    CHECK(worst.identity == 0);
  };
  for (const double decades : {1.0, 4.0, 8.0}) {
    check({}, decades, 1e-14);
    check({.inductors = true}, decades, 1e-14);
    check({.inductors = true, .contacts = true}, decades, 1e-14);
    check({.amplifiers = true}, decades, 1e-14);
    check({.hidden = true}, decades, 1e-14);
    check({.inductors = true, .contacts = true, .amplifiers = true, .hidden = true}, decades, 1e-14);
  }
}
