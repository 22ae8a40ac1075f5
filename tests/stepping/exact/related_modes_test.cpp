// SPDX-License-Identifier: MIT
// Modes as conductances come and go, one or a few at a time, against modes found anew.
#include <gastube/stepping/exact/modes.hpp>

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

using namespace gastube;
using namespace gastube::exact;
using closeness::relative_gap;

namespace {

/// A chain of nodes with capacitors to ground and to the next, and leaks; conductances are added to it.
struct Chain {
  std::size_t m;
  std::vector<double> e, k;

  explicit Chain(std::size_t nodes) : m(nodes), e(m * m, 0.0), k(m * m, 0.0) {
    for (std::size_t i = 0; i < m; ++i) {
      e[i * m + i] += 1e-6 * double(1 + i % 3);
      add(k, i, i, 1e-4);
      if (i == 0) continue;
      add(e, i - 1, i, 2e-6);
      add(k, i - 1, i, 1e-3);
    }
  }
  /// Between two nodes, or from one to ground.
  void add(std::vector<double>& to, std::size_t a, std::size_t b, double value) const {
    to[a * m + a] += value;
    if (a == b) return;
    to[b * m + b] += value;
    to[a * m + b] -= value;
    to[b * m + a] -= value;
  }
};
/// Greatest gap of the rates, of V^T E V from 1, and of V^T K V off its diagonal, beside the rates.
template <class Solver>
double gap_from_anew(const Solver& found, const Chain& chain, const std::vector<double>& k) {
  Modes<double, dynamic_extent> anew;
  REQUIRE(anew.find(chain.m, chain.e.data(), k.data()) == ModesStatus::found);
  REQUIRE(found.groups() == chain.m);
  double worst = 0;
  for (std::size_t i = 0; i < chain.m; ++i) {
    worst = std::max(worst, relative_gap(found.group(i).growth, anew.group(i).growth));
    for (std::size_t j = 0; j < chain.m; ++j) {
      double unit = i == j ? -1 : 0, link = 0;
      for (std::size_t r = 0; r < chain.m; ++r) {
        unit += found.row(i, r).re * found.column(j, r).re;
        for (std::size_t s = 0; s < chain.m; ++s)
          link += found.column(i, r).re * k[r * chain.m + s] * found.column(j, s).re;
      }
      worst = std::max(worst, std::fabs(unit));
      if (i != j) worst = std::max(worst, std::fabs(link) / std::sqrt(found.group(i).growth * found.group(j).growth));
    }
  }
  return worst;
}

}  // namespace

TEST_CASE("lights move along a chain: each pattern's modes are as if found anew") {
  for (const std::size_t m : {4u, 8u, 13u, 30u}) {
    CAPTURE(m);
    const Chain chain(m);
    Modes<double, dynamic_extent> modes;
    for (std::size_t lit = 0; lit + 1 < m; ++lit)
      for (const bool both : {false, true}) {
        CAPTURE(lit);
        CAPTURE(both);
        auto k = chain.k;
        chain.add(k, lit, lit, 0.2);
        if (both) chain.add(k, lit + 1, lit + 1, 0.2);
        for (int again = 0; again < 2; ++again) {
          REQUIRE(modes.find(m, chain.e.data(), k.data()) == ModesStatus::found);
          CHECK(gap_from_anew(modes, chain, k) < 4e-14);
        }
      }
  }
}
TEST_CASE("several conductances at once, between nodes and to ground, at random; and the charges change") {
  const std::uint64_t seed = 23;
  MESSAGE("seed " << seed);
  std::mt19937_64 random(seed);
  const std::size_t m = 12;
  Chain chain(m);
  Modes<double, 12> modes;
  for (int round = 0; round < 60; ++round) {
    CAPTURE(round);
    if (round == 30) chain.add(chain.e, 3, 4, 1e-6);
    auto k = chain.k;
    for (std::size_t a = 0; a < m; a += 3) {
      if (random() % 2 == 0) chain.add(k, a, a, 0.2);
      if (random() % 3 == 0) chain.add(k, a + 1, a + 2, 5e-3);
    }
    REQUIRE(modes.find(m, chain.e.data(), k.data()) == ModesStatus::found);
    CHECK(gap_from_anew(modes, chain, k) < 4e-14);
  }
}
TEST_CASE("a change that is not of a few conductances, and one that ruled a mode") {
  const Chain chain(10);
  Modes<double, dynamic_extent> modes;
  auto wide = chain.k, hard = chain.k;
  for (std::size_t i = 0; i < 10; ++i) wide[i * 10 + i] *= 1.5;
  chain.add(hard, 2, 7, 10);  // beside it K holds the leaks to 1e-11 only
  for (const std::vector<double>* k : {&chain.k, static_cast<const std::vector<double>*>(&wide), &chain.k,
                                       static_cast<const std::vector<double>*>(&hard), &chain.k}) {
    REQUIRE(modes.find(10, chain.e.data(), k->data()) == ModesStatus::found);
    Modes<double, dynamic_extent> anew;
    REQUIRE(anew.find(10, chain.e.data(), k->data()) == ModesStatus::found);
    for (std::size_t i = 0; i < 10; ++i) CHECK(relative_gap(modes.group(i).growth, anew.group(i).growth) < 1e-10);
  }
}
