// SPDX-License-Identifier: MIT
// The sparse factors: as accurate as the dense ones, over changing patterns, pivots that vanish, and wild scales.
#include <gastube/adapt/dual.hpp>
#include <gastube/support/lu.hpp>
#include <gastube/support/sparse_lu.hpp>

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <limits>
#include <random>

using namespace gastube;
using closeness::relative_gap;

namespace {

/// Row-major.
struct Matrix {
  std::size_t n;
  std::vector<long double> entries = std::vector<long double>(n * n);
  [[nodiscard]] long double& operator()(std::size_t i, std::size_t j) { return entries[i * n + j]; }
  [[nodiscard]] long double operator()(std::size_t i, std::size_t j) const { return entries[i * n + j]; }
  [[nodiscard]] long double norm() const {
    long double greatest = 0;
    for (std::size_t i = 0; i < n; ++i) {
      long double sum = 0;
      for (std::size_t j = 0; j < n; ++j) sum += std::fabs((*this)(i, j));
      greatest = std::max(greatest, sum);
    }
    return greatest;
  }
};
using Vector = std::vector<long double>;

/// By the dense factors; no rows if there is none.
Matrix inverse(const Matrix& a) {
  Lu<long double, dynamic_extent> lu(a.n);
  std::copy(a.entries.begin(), a.entries.end(), lu.entries());
  if (!lu.factor()) return {0};
  Matrix result{a.n};
  for (std::size_t j = 0; j < a.n; ++j) {
    Vector column(a.n);
    column[j] = 1;
    lu.solve(column.data());
    for (std::size_t i = 0; i < a.n; ++i) result(i, j) = column[i];
  }
  return result;
}

/// Writes the entries that are not zero; of an automatic-differentiation scalar all.
template <class S>
void load(SparseLu<S>& lu, const std::vector<S>& a) {
  lu.entries()->begin();
  for (std::size_t k = 0; k < a.size(); ++k)
    if (!is_plain<S> || value_of(a[k]) != 0) lu.entries()->put(k / lu.size(), k % lu.size(), a[k]);
  REQUIRE(lu.take());
}
template <class S>
void load(SparseLu<S>& lu, const Matrix& a, const Vector& rows, const Vector& columns) {
  std::vector<S> entries(a.n * a.n);
  for (std::size_t k = 0; k < entries.size(); ++k) entries[k] = S(rows[k / a.n] * a.entries[k] * columns[k % a.n]);
  load(lu, entries);
}

/// Entries from -1 to 1, some `filled` a row and the diagonal, all exact in S.
template <class S>
Matrix random_matrix(std::size_t n, double filled, std::mt19937_64& random) {
  std::uniform_real_distribution<double> entry(-1, 1), chance(0, 1);
  Matrix a{n};
  for (std::size_t i = 0; i < n; ++i)
    for (std::size_t j = 0; j < n; ++j)
      if (chance(random) * double(n) < filled || j == (i * 7 + 3) % n)
        a(i, j) = static_cast<long double>(S(entry(random)));
  return a;
}
/// Powers of two, so that scaling is exact.
Vector random_scales(std::size_t n, std::mt19937_64& random, int low, int high) {
  std::uniform_int_distribution<int> power(low, high);
  Vector scales(n);
  for (long double& scale : scales) scale = std::ldexp(1.0L, power(random));
  return scales;
}

/// Greatest error of a solution in units of round-off times condition; negative if the problem is too ill for that.
template <class S>
double solve_error(SparseLu<S>& lu, const Matrix& well, const Vector& rows, const Vector& columns,
                   std::mt19937_64& random) {
  const Matrix solved = inverse(well);
  if (solved.n == 0) return -1;
  const long double condition = solved.norm() * well.norm();
  if (!(condition < 0.001L / static_cast<long double>(round_off<S>)) || !(condition < 1e6L)) return -1;
  load(lu, well, rows, columns);
  REQUIRE(lu.factor());
  std::uniform_real_distribution<double> entry(-1, 1);
  std::vector<S> x(lu.size());
  Vector right(lu.size()), expected(lu.size());
  for (std::size_t i = 0; i < right.size(); ++i) {
    right[i] = static_cast<long double>(S(entry(random)));
    x[i] = S(rows[i] * right[i]);
  }
  lu.solve(x.data());
  long double size = 0, worst = 0;
  for (std::size_t i = 0; i < right.size(); ++i) {
    for (std::size_t j = 0; j < right.size(); ++j) expected[i] += solved(i, j) * right[j];
    size = std::max(size, std::fabs(expected[i]));
    worst = std::max(worst, std::fabs(static_cast<long double>(x[i]) * columns[i] - expected[i]));
  }
  return double(worst / (static_cast<long double>(round_off<S>) * condition * size));
}

template <class S>
bool factors(std::size_t n, const std::vector<S>& a) {
  SparseLu<S> lu(n);
  load(lu, a);
  return lu.factor();
}

}  // namespace

TEST_CASE_TEMPLATE("random sparse equations are solved as well as their condition allows", S, float, double,
                   long double) {
  const std::uint64_t seed = 20261;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  int solved = 0;
  double worst = 0;
  for (int round = 0; round < 300; ++round) {
    CAPTURE(round);
    const std::size_t n = 1 + std::size_t(round) % 40;
    const Matrix well = random_matrix<S>(n, 3.0, random);
    const bool scaled = round % 2 == 1;
    const Vector rows = random_scales(n, random, scaled ? -40 : 0, scaled ? 20 : 0);
    const Vector columns = random_scales(n, random, scaled ? -10 : 0, 0);
    SparseLu<S> lu(n);
    const double error = solve_error(lu, well, rows, columns, random);
    if (error < 0) continue;
    worst = std::max(worst, error);
    ++solved;
  }
  CAPTURE(worst);
  CHECK(worst < 12);
  CHECK(solved > 150);
}

TEST_CASE("one object follows values and patterns that change, and chooses pivots anew only where it must") {
  const std::uint64_t seed = 20262;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> factor(0.5, 2.0);
  constexpr std::size_t n = 30;
  SparseLu<double> lu(n);
  const Vector ones(n, 1.0L);
  int solved = 0;
  double worst = 0;
  for (int pattern = 0; pattern < 10; ++pattern) {
    Matrix a = random_matrix<double>(n, 3.0, random);
    for (std::size_t i = 0; i < n; ++i) a(i, i) += 2;
    long searches = 0;
    for (int round = 0; round < 10; ++round) {
      const double error = solve_error(lu, a, ones, ones, random);
      if (error >= 0) ++solved, worst = std::max(worst, error);
      if (round == 0) searches = lu.searches();
      for (long double& entry : a.entries) entry *= static_cast<long double>(factor(random));
    }
    CHECK(lu.searches() - searches <= 1);
  }
  CHECK(worst < 12);
  CHECK(solved > 90);
}

TEST_CASE("the dense factors give the same solutions") {
  const std::uint64_t seed = 20263;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  int compared = 0;
  double worst = 0;
  for (int round = 0; round < 100; ++round) {
    const std::size_t n = 2 + std::size_t(round) % 30;
    Matrix a = random_matrix<double>(n, 4.0, random);
    for (std::size_t i = 0; i < n; ++i) a(i, i) += 3;
    Lu<double, dynamic_extent> dense(n);
    SparseLu<double> sparse(n);
    const Vector ones(n, 1.0L);
    load(sparse, a, ones, ones);
    for (std::size_t k = 0; k < n * n; ++k) dense.entries()[k] = double(a.entries[k]);
    const bool one = dense.factor(), other = sparse.factor();
    CHECK(one == other);
    if (!one) continue;
    std::vector<double> x(n, 1.0), y(n, 1.0);
    dense.solve(x.data());
    sparse.solve(y.data());
    for (std::size_t i = 0; i < n; ++i) worst = std::max(worst, std::fabs(x[i] - y[i]));
    ++compared;
  }
  CHECK(worst < 1e-12);
  CHECK(compared > 90);
}

TEST_CASE("a pivot that vanishes in another mode is replaced, and not taken again") {
  // Unknowns v and i of a tube fed through 1 ohm: v + i = 1, and i = 0 while it is out, v = 0.2 while it is lit.
  SparseLu<double> lu(2);
  long searches = 0;
  for (int round = 0; round < 20; ++round) {
    const bool lit = round % 2 == 1;
    load(lu, std::vector<double>{1, 1, lit ? 1.0 : 1e-9, lit ? 0.0 : 1.0});
    REQUIRE(lu.factor());
    double x[2] = {1.0, lit ? 0.2 : 0.0};
    lu.solve(x);
    CHECK(relative_gap(x[0], lit ? 0.2 : 1 / (1 - 1e-9)) < 1e-14);
    CHECK(std::fabs(x[1] - (lit ? 0.8 : -1e-9 / (1 - 1e-9))) < 1e-15);
    if (round == 5) searches = lu.searches();
  }
  CHECK(lu.searches() <= searches + 14);
}

TEST_CASE("a chain of thousands is factored in memory that grows with its length") {
  for (const std::size_t n : {1000U, 10000U}) {
    SparseLu<double> lu(n);
    lu.entries()->begin();
    for (std::size_t k = 0; k < n; ++k) {
      lu.entries()->put(k, k, 2.0);
      if (k > 0) lu.entries()->put(k, k - 1, -1.0), lu.entries()->put(k - 1, k, -1.0);
    }
    REQUIRE(lu.take());
    REQUIRE(lu.factor());
    CHECK(lu.factor_entries() == 3 * n - 2);
    std::vector<double> x(n, 1.0);
    lu.solve(x.data());
    // Closed form of -x'' = 1 with zeros beyond both ends.
    double worst = 0;
    for (std::size_t k = 0; k < n; ++k)
      worst = std::max(worst, relative_gap(x[k], 0.5 * double(k + 1) * double(n - k)));
    CHECK(worst < 1e-9);
  }
}

TEST_CASE_TEMPLATE("a network of conductances without a path to ground is singular at any scale", S, float, double,
                   long double) {
  const std::uint64_t seed = 990;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> power(-9, 3);
  int refused = 0, accepted_with_path = 0;
  constexpr int rounds = 300;
  for (int round = 0; round < rounds; ++round) {
    const std::size_t n = 2 + std::size_t(round) % 5;
    std::vector<S> floating(n * n, S(0));
    for (std::size_t k = 1; k < n; ++k) {  // a random tree
      const std::size_t other = random() % k;
      const S g = S(std::pow(10.0, power(random)));
      floating[k * n + k] += g, floating[other * n + other] += g;
      floating[k * n + other] -= g, floating[other * n + k] -= g;
    }
    std::vector<S> grounded = floating;
    grounded[0] += S(1);
    refused += factors<S>(n, floating) ? 0 : 1;
    accepted_with_path += factors<S>(n, grounded) ? 1 : 0;
  }
  CHECK(refused == rounds);
  // float has no digits left for 1 S next to 1000 S and 1e-9 S in series
  if (!std::is_same_v<S, float>) CHECK(accepted_with_path == rounds);
}

TEST_CASE("singular matrices, NaN and infinities are refused") {
  CHECK_FALSE(factors<double>(1, {0}));
  CHECK_FALSE(factors<double>(2, {0, 0, 1, 2}));
  CHECK_FALSE(factors<double>(2, {0, 1, 0, 2}));
  CHECK_FALSE(factors<double>(2, {1, 2, 2, 4}));
  CHECK_FALSE(factors<double>(2, {1e-12, 2e-12, 2e9, 4e9}));
  CHECK_FALSE(factors<double>(3, {1, -1, 0, -1, 1, 0, 0, 0, 1}));
  CHECK_FALSE(factors<double>(3, {0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9}));  // singular but for rounding
  for (const double bad : {std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity()})
    for (std::size_t place = 0; place < 9; ++place) {
      std::vector<double> full{4, 1, 1, 1, 5, 2, 1, 2, 6};
      full[place] = bad;
      CHECK_FALSE(factors<double>(3, full));
    }
}

TEST_CASE("after a singular matrix the next one is factored as if nothing had been") {
  SparseLu<double> lu(2);
  load(lu, std::vector<double>{1, 2, 2, 5});
  REQUIRE(lu.factor());
  load(lu, std::vector<double>{1, 2, 2, 4});
  CHECK_FALSE(lu.factor());
  load(lu, std::vector<double>{1, 2, 2, 5});
  REQUIRE(lu.factor());
  double x[2] = {1, 1};
  lu.solve(x);
  CHECK(relative_gap(x[0], 3.0) < 1e-14);
  CHECK(relative_gap(x[1], -1.0) < 1e-14);
}

TEST_CASE("derivatives pass through a solution, also those of entries that are zero") {
  using D = Dual<double, 1>;
  const D zero = D::variable(0.0, 0);
  SparseLu<D> lu(2);
  load(lu, std::vector<D>{D(2), D(3), zero, D(5)});
  REQUIRE(lu.factor());
  std::array<D, 2> x{D(1), D(1)};
  lu.solve(x.data());
  CHECK(relative_gap(x[0].value(), 0.2) < 1e-15);
  // closed form, worked here: x1 = (5 - 3) / (10 - 3 z), x2 = (2 - z) / (10 - 3 z)
  CHECK(relative_gap(x[0].partial(0), 0.06) < 1e-14);
  CHECK(relative_gap(x[1].partial(0), -0.04) < 1e-14);
}
