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

/// A power of two between about 10^from and 10^to, evenly in its logarithm: sums of such values are exact, so that the
/// matrices are those of a circuit to the last bit.
double decade(Random& random, double from, double to) {
  return std::exp2(std::round(std::uniform_real_distribution<double>(from, to)(random) * std::log2(10.0)));
}

/// Which parts a random circuit may hold.
struct Kinds {
  bool inductors = false, contacts = false, open = false, amplifiers = false, hidden = false, shorts = false;
};

/// Every node but that of a cut-set of inductors has some path to ground through resistors; the spread of values grows
/// with `decades`.
template <class S>
LinearNet<S> random_net(Random& random, const Kinds& kinds, double decades) {
  const auto below = [&](std::size_t n) { return std::size_t(random() % n); };
  const std::size_t nodes = 2 + below(5);
  LinearNet<S> net(nodes + (kinds.shorts ? 1 : 0));
  for (std::size_t k = 1; k <= nodes; ++k)
    net.conductance(k, below(k), S(decade(random, -3 - decades / 2, -3 + decades / 2)));
  const auto pair = [&](auto&& part) {
    const std::size_t a = 1 + below(nodes), b = below(nodes + 1);
    if (a != b) part(a, b);
  };
  for (std::size_t e = below(nodes + 2); e > 0; --e)
    pair([&](std::size_t a, std::size_t b) {
      net.capacitor(a, b, S(decade(random, -8 - decades / 2, -8 + decades / 2)));
    });
  if (kinds.amplifiers)
    pair([&](std::size_t a, std::size_t b) { net.controlled(a, 0, b > 0 ? b : 1, S(decade(random, -4, -2))); });
  if (kinds.inductors)
    for (std::size_t e = 1 + below(2); e > 0; --e)
      pair(
          [&](std::size_t a, std::size_t b) { net.inductor(a, b, S(decade(random, -4, 0)), S(decade(random, 0, 2))); });
  if (kinds.contacts) pair([&](std::size_t a, std::size_t b) { net.branch(a, b, S(decade(random, -3, 4))); });
  for (int e = 0; kinds.open && e < 3; ++e)
    pair([&](std::size_t a, std::size_t b) { net.open_branch(a, b, S(decade(random, -9, -4))); });
  if (kinds.hidden) net.branch(1, 0, S(0));
  if (kinds.shorts) {  // a closed contact without resistance, never in a loop with the source; inductors in series
    net.branch(2 + below(nodes - 1), random() % 2, S(0));
    net.inductor(nodes + 1, 1 + below(nodes), S(decade(random, -4, 0)), S(decade(random, 0, 2)));
    net.inductor(nodes + 1, below(2), S(decade(random, -4, 0)), S(0));
  }
  return net;
}

constexpr std::size_t room = 16;

template <class S, class Reduced>
ReductionStatus reduce(const LinearNet<S>& net, Reduced& r) {
  std::vector<Plain<S>> sizes(net.sizes.begin(), net.sizes.end());
  return r.reduce(net.n, net.charges.data(), net.currents.data(), sizes.data());
}

/// True if all pivots of a symmetric matrix are positive.
bool is_positive_definite(std::size_t m, const double* matrix) {
  std::vector<long double> a(matrix, matrix + m * m);
  for (std::size_t k = 0; k < m; ++k) {
    if (!(a[k * m + k] > 0)) return false;
    for (std::size_t i = k + 1; i < m; ++i)
      for (std::size_t j = k + 1; j < m; ++j) a[i * m + j] -= a[i * m + k] * a[k * m + j] / a[k * m + k];
  }
  return true;
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
    CHECK((r.is_mutual() || kinds.amplifiers));
    if (r.is_mutual() && !kinds.inductors && !kinds.shorts) CHECK(is_positive_definite(r.order(), r.charge_matrix()));
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
  const auto check = [&](const Kinds& kinds, double decades) {
    const reduction_check::Gaps worst = worst_of(60, seed, kinds, decades);
    CAPTURE(decades);
    // Round-off times the ratio of capacitances that meet at a node, which any change of a last bit costs as well.
    const double tolerance = 1e-12 * std::pow(10.0, decades / 2);
    CHECK(worst.flow < tolerance);
    CHECK(worst.jump < tolerance);
    CHECK(worst.impulse < tolerance);
    CHECK(worst.identity < tolerance);
  };
  for (const double decades : {1.0, 4.0, 8.0}) {
    check({}, decades);
    check({.inductors = true}, decades);
    check({.inductors = true, .contacts = true}, decades);
    check({.open = true}, decades);
    check({.amplifiers = true}, decades);
    check({.hidden = true}, decades);
    check({.hidden = true, .shorts = true}, decades);
    check({.inductors = true, .open = true, .amplifiers = true, .shorts = true}, decades);
    check({.inductors = true, .contacts = true, .open = true, .hidden = true}, decades);
    check({.inductors = true, .contacts = true, .open = true, .amplifiers = true, .hidden = true}, decades);
  }
}

TEST_CASE("constraints hold to their own digits, not only to those of the greatest entries") {
  const unsigned seed = 77;
  CHECK(worst_of(1200, seed, {.hidden = true, .shorts = true}, 1.0).flow < 1e-13);
}

TEST_CASE("orders are those that counting capacitors and inductors gives") {
  // Independent states: capacitors and inductors, less loops of capacitors and sources, less cut-sets of inductors (P.
  // R. Bryant, "The order of complexity of electrical networks", Proc. IEE 106C, 1959; from memory).
  const unsigned seed = 20260414;
  Random random(seed);
  Reduction<double, room> r;
  for (int run = 0; run < 200; ++run) {
    INFO("seed ", seed, ", circuit ", run);
    const std::size_t nodes = 2 + random() % 6;
    LinearNet<double> net(nodes);
    std::vector<std::size_t> group(nodes + 1);  // nodes joined by capacitors and sources; 0 is ground
    for (std::size_t k = 0; k <= nodes; ++k) group[k] = k;
    std::size_t order = 0;
    const auto join = [&](std::size_t a, std::size_t b) {
      const std::size_t from = group[a], to = group[b];
      for (auto& g : group)
        if (g == from) g = to;
      return from != to;
    };
    net.branch(1, 0, 0.0);
    join(1, 0);
    for (std::size_t k = 1; k <= nodes; ++k) net.resistor(k, random() % k, decade(random, 1, 6));
    for (std::size_t e = 0; e < nodes; ++e) {
      const std::size_t a = 1 + random() % nodes, b = random() % (nodes + 1);
      if (a == b) continue;
      net.capacitor(a, b, decade(random, -12, -6));
      order += join(a, b) ? 1 : 0;
    }
    for (std::size_t e = random() % 3; e > 0; --e) {  // never a cut-set: every node has its resistor
      net.inductor(1 + random() % nodes, 0, decade(random, -5, 1), 0.0);
      ++order;
    }
    REQUIRE(reduce(net, r) == ReductionStatus::reduced);
    CHECK(r.order() == order);
  }
}

TEST_CASE("a ladder of 200 resistors and capacitors is reduced to itself, at run-time size") {
  const std::size_t nodes = 200;
  LinearNet<double> net(nodes + 1);
  const std::size_t source = net.branch(1, 0, 0.0);
  for (std::size_t k = 1; k <= nodes; ++k) {
    net.resistor(k, k + 1, 1e3);
    net.capacitor(k + 1, 0, 1e-9);
  }
  Reduction<double, dynamic_extent> r;
  REQUIRE(reduce(net, r) == ReductionStatus::reduced);
  REQUIRE(r.order() == nodes);
  CHECK(r.state(0) == 1);
  double off = 0;
  for (std::size_t i = 0; i < nodes; ++i)
    for (std::size_t j = 0; j < nodes; ++j) {
      const std::size_t gap = i > j ? i - j : j - i;
      const double g = 1.0 / 1e3, expected = gap == 0 ? (i + 1 < nodes ? 2 * g : g) : gap == 1 ? -g : 0.0;
      off = std::fmax(off, std::fabs(r.current_matrix()[i * nodes + j] - expected));
      off = std::fmax(off, std::fabs(r.charge_matrix()[i * nodes + j] - (gap == 0 ? 1e-9 : 0.0)));
    }
  CHECK(off == 0);
  CHECK(relative_gap(r.drive(0, source), 1e-3) < 1e-15);
}

TEST_CASE_TEMPLATE("every scalar keeps the promises to its own digits", S, float, double, long double) {
  const unsigned seed = 20260415;
  Random random(seed);
  Reduction<S, room> r;
  for (int run = 0; run < 20; ++run) {
    INFO("seed ", seed, ", circuit ", run);
    const LinearNet<S> net = random_net<S>(random, {.inductors = true, .amplifiers = true, .hidden = true}, 1.0);
    REQUIRE(reduce(net, r) == ReductionStatus::reduced);
    const reduction_check::Gaps gaps = reduction_check::gaps(net, r, random);
    CHECK(gaps.flow < 1e4 * double(round_off<S>));
    CHECK(gaps.jump < 1e4 * double(round_off<S>));
  }
}

TEST_CASE("derivatives come along, even of what is zero by accident") {
  using D = Dual<double, 2>;
  // A bridge in balance: no current through its middle, but one as soon as a resistor changes.
  const auto bridge = [](const auto& r1, const auto& c) {
    using S = std::decay_t<decltype(r1)>;
    LinearNet<S> net(3);
    net.branch(1, 0, S(0));
    net.conductance(1, 2, S(S(1) / r1));
    net.conductance(2, 0, S(1e-3));
    net.conductance(1, 3, S(1e-3));
    net.conductance(3, 0, S(1e-3));
    net.capacitor(2, 3, c);
    net.capacitor(1, 0, S(c * S(2)));
    return net;
  };
  const auto values = [&](const auto& net) {
    using S = std::decay_t<decltype(net.charges[0])>;
    Reduction<S, room> r;
    REQUIRE(reduce(net, r) == ReductionStatus::reduced);
    REQUIRE(r.order() == 1);
    const S at = r.shape(1, 0);  // free of the choice of state
    return std::vector<S>{S(r.charge_matrix()[0] / r.current_matrix()[0]),
                          S(r.drive(0, 3) * at / r.current_matrix()[0]), r.forced(1, 3), r.forced_by_slope(3, 3)};
  };
  const double r1 = 1e3, c = 2e-6, h = 1e-5;
  const auto exact = values(bridge(D::variable(r1, 0), D::variable(c, 1)));
  const auto by_resistance = [&](double share) { return values(bridge(r1 * (1 + share), c)); };
  const auto by_capacitance = [&](double share) { return values(bridge(r1, c * (1 + share))); };
  for (std::size_t k = 0; k < exact.size(); ++k) {
    CAPTURE(k);
    const double slope_r = (by_resistance(h)[k] - by_resistance(-h)[k]) / (2 * h * r1);
    const double slope_c = (by_capacitance(h)[k] - by_capacitance(-h)[k]) / (2 * h * c);
    CHECK(std::fabs(exact[k].partial(0) - slope_r) <= 1e-8 * std::fabs(slope_r) + 1e-14);
    CHECK(std::fabs(exact[k].partial(1) - slope_c) <= 1e-8 * std::fabs(slope_c) + 1e-9);
  }
  CHECK(exact[1].value() == 0);  // the balance
  CHECK(std::fabs(exact[1].partial(0)) > 1e-5);
}
