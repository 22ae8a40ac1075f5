// SPDX-License-Identifier: MIT
// Modes of linear circuits against closed forms, against series in long double, and against finite differences.
#include <gastube/adapt/dual.hpp>
#include <gastube/stepping/exact/modes.hpp>

#include "stepping/exact/mode_checks.hpp"
#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <random>
#include <vector>

using namespace gastube;
using namespace gastube::exact;
using closeness::relative;
using closeness::relative_gap;
using mode_checks::motion;
using mode_checks::motion_gap;

namespace {

using Numbers = std::vector<double>;
template <class S>
using AnyModes = Modes<S, dynamic_extent>;

/// E and K of a circuit that grows part by part.
struct Pencil {
  std::size_t size;
  Numbers e = Numbers(size * size, 0.0), k = e;

  Pencil& store(std::size_t i, double value) { return e[i * size + i] += value, *this; }
  Pencil& feed(std::size_t to, std::size_t from, double value) { return k[to * size + from] += value, *this; }
  /// A conductance from i to ground, or between i and j.
  Pencil& leak(std::size_t i, double g) { return feed(i, i, g); }
  Pencil& join(std::size_t i, std::size_t j, double g) { return leak(i, g).leak(j, g).feed(i, j, -g).feed(j, i, -g); }
  /// An inductor's current i flows out of node n.
  Pencil& wind(std::size_t n, std::size_t i) { return feed(n, i, 1).feed(i, n, -1); }
};
AnyModes<double> modes_of(const Pencil& p) {
  AnyModes<double> modes;
  REQUIRE(modes.find(p.size, p.e.data(), p.k.data()) == ModesStatus::found);
  return modes;
}
double gap_of(const AnyModes<double>& modes, const Pencil& p, double t) { return motion_gap(modes, p.e, p.k, t); }

/// A number between 10^low and 10^high.
double decades(std::mt19937_64& random, double low, double high) {
  return std::pow(10.0, std::uniform_real_distribution<double>(low, high)(random));
}

}  // namespace

TEST_CASE_TEMPLATE("a capacitor discharges through a resistor", S, float, double, long double) {
  const S capacitance = S(0.5), conductance = S(500);
  Modes<S, 1> modes;
  REQUIRE(modes.find(1, &capacitance, &conductance) == ModesStatus::found);
  REQUIRE(modes.groups() == 1);
  CHECK(double(modes.group(0).growth) == relative(-1000.0).epsilon(double(8 * round_off<S>)));
  CHECK(modes.group(0).turn == S(0));
  CHECK(double((modes.column(0, 0) * modes.row(0, 0)).re) == relative(1.0).epsilon(double(8 * round_off<S>)));
}

TEST_CASE("a damped circuit rings") {
  const double c = 1e-6, l = 1e-3, g = 1e-3;
  const double e[] = {c, 0, 0, l}, k[] = {g, 1, -1, 0};
  Modes<double, 2> modes;
  REQUIRE(modes.find(2, e, k) == ModesStatus::found);
  REQUIRE(modes.groups() == 1);
  const double decay = g / (2 * c);
  CHECK(modes.group(0).growth == relative(-decay).epsilon(1e-15));
  CHECK(modes.group(0).turn == relative(std::sqrt(1 / (l * c) - decay * decay)).epsilon(1e-15));
}

TEST_CASE("critical damping is a group of two, exact on both sides of it") {
  for (const double off : {0.0, 1e-12, -1e-12, 1e-8, -1e-8, 1e-5, -1e-5, 1e-3, -1e-3, 0.1, -0.1}) {
    CAPTURE(off);
    const double g = 2 * std::sqrt(1e-6 / 1e-3) * (1 + off);
    const Pencil p = Pencil{2}.store(0, 1e-6).store(1, 1e-3).leak(0, g).wind(0, 1);
    const auto modes = modes_of(p);
    CHECK((modes.group(0).size == 2) == (std::fabs(off) < 1e-6));
    CHECK(modes.horizon() == unlimited<double>());
    for (const double t : {0.0, 1e-6, 3e-5, 1e-3}) CHECK(gap_of(modes, p, t) < 2e-12);
  }
}

TEST_CASE("equal buffered stages are one group; so are equal buffered resonators") {
  Pencil stages{4};
  for (std::size_t i = 0; i < 4; ++i) {
    stages.store(i, 2).leak(i, 3);
    if (i > 0) stages.feed(i, i - 1, -3);
  }
  const auto cascade = modes_of(stages);
  REQUIRE(cascade.groups() == 1);
  CHECK(cascade.group(0).growth == -1.5);
  CHECK(cascade.group(0).degree == 3);
  const double t = 2;  // the last stage after a unit of charge in the first: (1.5 t)^3 / 3! exp(-1.5 t)
  CHECK(motion(cascade, t)[3 * 4] == relative(std::pow(1.5 * t, 3) / 6 * std::exp(-1.5 * t)).epsilon(1e-14));
  for (const double damping : {0.3, 2.0, 2.0001, 1.9999, 5.0}) {
    CAPTURE(damping);
    Pencil p{4};
    for (const std::size_t i : {0u, 2u}) p.store(i, 1).store(i + 1, 1).leak(i, damping).wind(i, i + 1);
    p.feed(2, 0, -1);
    for (std::size_t row = 0; row < 4; ++row)  // the same equations in other combinations
      for (std::size_t j = 0; j < 4; ++j) {
        const double share = 0.3 + 0.1 * double(row);
        p.k[row * 4 + j] += share * p.k[(row + 1) % 4 * 4 + j];
        p.e[row * 4 + j] += share * p.e[(row + 1) % 4 * 4 + j];
      }
    const auto modes = modes_of(p);
    for (const double at : {0.0, 0.1, 1.0, 10.0}) CHECK(gap_of(modes, p, at) < 3e-14);
  }
}

TEST_CASE("equal branches that do not act on each other are single modes") {
  Pencil p{5};
  for (std::size_t i = 0; i < 5; ++i) p.store(i, 1e-6).leak(i, 1e-3);
  CHECK(modes_of(p).groups() == 5);
  p.feed(1, 0, -1e-4);  // no longer symmetric
  const auto modes = modes_of(p);
  CHECK(modes.groups() == 4);
  CHECK(gap_of(modes, p, 1e-3) < 1e-15);
}

TEST_CASE("what is conserved has a rate of exactly zero") {
  SUBCASE("charge on capacitors joined by resistors") {
    const Pencil p = Pencil{3}.store(0, 1e-12).store(1, 1e-6).store(2, 1e-3).join(0, 1, 1e-3).join(1, 2, 0.7);
    CHECK(modes_of(p).group(0).growth == 0.0);
    CHECK(gap_of(modes_of(p), p, 1e-3) < 1e-13);
  }
  SUBCASE("the same with an amplifier hanging on") {
    const Pencil p = Pencil{3}.store(0, 1e-6).store(1, 1e-6).store(2, 1e-3).join(0, 1, 0.3).leak(2, 2).feed(2, 0, -3);
    const auto modes = modes_of(p);
    int still = 0;
    for (std::size_t i = 0; i < modes.groups(); ++i) still += modes.group(i).growth == 0.0;
    CHECK(still == 1);
    CHECK(gap_of(modes, p, 1e-3) < 1e-13);
  }
  SUBCASE("an integrator that feeds an integrator") {
    const Pencil p = Pencil{3}.store(0, 1).store(1, 1).store(2, 1e-6).feed(1, 0, -1).leak(2, 1e-3).feed(2, 1, 1e-4);
    const auto modes = modes_of(p);
    CHECK(motion(modes, 1e9)[1 * 3] == relative(1e9).epsilon(1e-14));
    CHECK(modes.horizon() == unlimited<double>());
  }
}

TEST_CASE("slow rates beside fast ones keep their digits") {
  // Eigenvalues of [[a, b], [c, d]]: the slow one is (a d - b c) / the fast one.
  const Pencil p = Pencil{3}
                       .store(0, 1e-12)
                       .store(1, 1e-6)
                       .store(2, 2)
                       .leak(0, 4e-3)
                       .leak(1, 5e-5)
                       .feed(0, 1, 2e-3)
                       .feed(1, 0, 1e-6)
                       .feed(1, 2, 3e-9)
                       .leak(2, 7e-6);
  const auto modes = modes_of(p);
  std::vector<long double> e(p.e.begin(), p.e.end()), k(p.k.begin(), p.k.end());
  AnyModes<long double> exact;
  REQUIRE(exact.find(3, e.data(), k.data()) == ModesStatus::found);
  REQUIRE(modes.groups() == 3);
  for (std::size_t i = 0; i < 3; ++i) CHECK(relative_gap(modes.group(i).growth, exact.group(i).growth) < 1e-15);
  CHECK(modes.group(0).growth == relative(-4e9).epsilon(1e-3));
}

TEST_CASE("ladders have the rates 4 sin^2") {
  for (const std::size_t m : {5u, 20u, 21u, 60u}) {  // by rotations alone, and by reflections first
    CAPTURE(m);
    Pencil p{m};
    for (std::size_t i = 0; i < m; ++i) p.store(i, 1);
    p.leak(0, 1);
    for (std::size_t i = 1; i < m; ++i) p.join(i - 1, i, 1);
    const auto modes = modes_of(p);
    REQUIRE(modes.groups() == m);
    for (std::size_t i = 0; i < m; ++i) {
      const double half = std::numbers::pi * (2 * double(i) + 1) / (4 * double(m) + 2);
      CHECK(-modes.group(i).growth == relative(4 * std::sin(half) * std::sin(half)).epsilon(1e-13));
    }
    CHECK(gap_of(modes, p, 0.0) < 1e-13);
    if (m < 30) CHECK(gap_of(modes, p, 0.7) < 1e-13);
  }
}

TEST_CASE("random circuits move as the series says") {
  const std::uint64_t seed = 20;
  MESSAGE("seed " << seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> unit(-1, 1);
  for (int round = 0; round < 40; ++round) {
    const std::size_t m = 2 + std::size_t(round) % 6;
    Pencil p{m};
    for (auto& entry : p.e) entry = unit(random);
    for (auto& entry : p.k) entry = unit(random);
    for (std::size_t i = 0; i < m; ++i) p.store(i, double(m)).leak(i, 2);
    const auto modes = modes_of(p);
    CAPTURE(round);
    for (const double t : {0.0, 0.3, 2.0}) CHECK(gap_of(modes, p, t) < 3e-14);
  }
}

TEST_CASE("graded circuits: errors stay near what one unit in the last place of each part does") {
  const std::uint64_t seed = 21;
  MESSAGE("seed " << seed);
  std::mt19937_64 random(seed);
  for (int round = 0; round < 40; ++round) {
    const std::size_t m = 3 + std::size_t(round) % 4;
    const bool coils = round % 2 == 1;
    Pencil p{m};
    for (std::size_t i = 0; i < m; ++i) p.store(i, decades(random, -12, -3)).leak(i, decades(random, -6, 0));
    for (std::size_t i = 1; i < m; ++i)
      if (coils && i + 1 == m)
        p.wind(0, i);
      else
        p.join(i - 1, i, decades(random, -6, 0));
    const auto modes = modes_of(p);
    CAPTURE(round);
    for (std::size_t i = 0; i < modes.groups(); ++i) {
      const double t = 1 / std::hypot(modes.group(i).growth, modes.group(i).turn);
      Pencil other = p;
      for (auto& entry : other.k) entry *= 1 + (random() % 2 == 0 ? 2.3e-16 : 0.0);
      const auto moved = modes_of(other);
      CHECK(gap_of(modes, p, t) < 1e-13 + 100 * gap_of(moved, p, t));
    }
  }
}

TEST_CASE("derivatives agree with finite differences, for single and for shared rates") {
  using D = Dual<double, 2>;
  for (int kind = 0; kind < 6; ++kind) {
    CAPTURE(kind);
    Pencil p{3};
    p.store(0, 1).store(1, 1).store(2, 1).leak(0, 1).leak(1, 1).leak(2, 1);          // 0: three equal branches
    if (kind == 1) p.leak(1, 1).join(0, 1, 0.5).join(1, 2, 3);                       // an ordinary resistive network
    if (kind == 2) p.wind(0, 2);                                                     // rings
    if (kind == 3) p.feed(1, 0, -1).feed(2, 1, -1);                                  // one defective rate
    if (kind == 4) p.leak(0, 2).wind(0, 2);                                          // critically damped
    if (kind == 5) p = Pencil{3}.store(0, 1).store(1, 2).store(2, 3).join(0, 1, 1);  // conserved charges
    const std::size_t varied[2] = {1 * 3 + 0, 0};                                    // an entry of K, one of E
    std::vector<D> e(p.e.begin(), p.e.end()), k(p.k.begin(), p.k.end());
    k[varied[0]] = D::variable(value_of(k[varied[0]]), 0);
    e[varied[1]] = D::variable(value_of(e[varied[1]]), 1);
    Modes<D, 3> modes;
    REQUIRE(modes.find(3, e.data(), k.data()) == ModesStatus::found);
    for (const double t : {0.0, 0.4, 3.0}) {
      const auto got = motion(modes, D(t));
      for (std::size_t which = 0; which < 2; ++which) {
        const auto shifted = [&](long double by) {
          mode_checks::Matrix le(p.e.begin(), p.e.end()), lk(p.k.begin(), p.k.end());
          (which == 0 ? lk : le)[varied[which]] += by;
          return mode_checks::exponential(mode_checks::rates(3, le, lk), static_cast<long double>(t));
        };
        const auto up = shifted(1e-6L), down = shifted(-1e-6L);
        for (std::size_t i = 0; i < 9; ++i) {
          CAPTURE(i);
          CHECK(std::fabs(got[i].partial(which) - double((up[i] - down[i]) / 2e-6L)) < 3e-11);
        }
      }
    }
  }
}

TEST_CASE("what has no modes is refused") {
  const double e[] = {1, 2, 2, 4}, k[] = {1, 0, 0, 1}, good[] = {1, 0, 0, 1};
  Modes<double, 2> modes;
  CHECK(modes.find(2, e, k) == ModesStatus::singular);
  const double broken[] = {1, 0, std::nan(""), 1};
  CHECK(modes.find(2, good, broken) == ModesStatus::not_settled);
  CHECK(modes.find(2, broken, good) == ModesStatus::singular);
  CHECK(modes.find(0, e, k) == ModesStatus::found);
  CHECK(modes.groups() == 0);
}
