// SPDX-License-Identifier: MIT
// The dense factors: as accurate as a general-purpose library on well-scaled equations, and no worse on badly scaled
// ones.
#include <gastube/adapt/dual.hpp>
#include <gastube/support/lu.hpp>

#include "support_for_tests/closeness.hpp"

#include <Eigen/LU>
#include <doctest/doctest.h>

#include <limits>
#include <random>

using namespace gastube;
using closeness::relative_gap;

namespace {

using Matrix = Eigen::Matrix<long double, Eigen::Dynamic, Eigen::Dynamic>;
using Vector = Eigen::Matrix<long double, Eigen::Dynamic, 1>;

/// Scales between two powers of two, so that scaling is exact.
Vector random_scales(std::size_t n, std::mt19937_64& random, int low, int high) {
  std::uniform_int_distribution<int> power(low, high);
  Vector scales(static_cast<Eigen::Index>(n));
  for (Eigen::Index k = 0; k < scales.size(); ++k) scales[k] = std::ldexp(1.0L, power(random));
  return scales;
}

template <class S>
struct Problem {
  Matrix well;           ///< entries of ordinary size, exact in S
  Vector rows, columns;  ///< scales: rows from 1e-18 to 1e6; columns the same, or volts and amperes if sparse
  Vector right;          ///< exact in S before scaling
};

/// Where entries are missing, the greatest of a row may lie in another column than that of its neighbours, and then
/// wild scales of columns cannot be told from zeros. Circuits are sparse, and their columns are volts and amperes.
template <class S>
Problem<S> random_problem(std::size_t n, std::mt19937_64& random, bool sparse) {
  std::uniform_real_distribution<double> entry(-1, 1), chance(0, 1);
  const int least = std::is_same_v<S, float> ? -40 : -60;  // float reaches down to 2^-126 only, and two scales multiply
  Problem<S> problem{Matrix(n, n), random_scales(n, random, least, 20),
                     sparse ? random_scales(n, random, -10, 0) : random_scales(n, random, least, 20), Vector(n)};
  for (Eigen::Index i = 0; i < problem.right.size(); ++i) {
    problem.right[i] = static_cast<long double>(S(entry(random)));
    for (Eigen::Index j = 0; j < problem.right.size(); ++j)
      problem.well(i, j) = sparse && chance(random) < 0.3 ? 0.0L : static_cast<long double>(S(entry(random)));
  }
  return problem;
}

/// Puts the scaled matrix into an Lu.
template <class S, std::size_t N>
void load(Lu<S, N>& lu, const Problem<S>& problem) {
  for (std::size_t i = 0; i < lu.size(); ++i)
    for (std::size_t j = 0; j < lu.size(); ++j) {
      const auto r = Eigen::Index(i), c = Eigen::Index(j);
      lu.entries()[i * lu.size() + j] = S(problem.rows[r] * problem.well(r, c) * problem.columns[c]);
    }
}

template <std::size_t N>
bool factors(const std::array<double, N * N>& entries) {
  Lu<double, N> lu(N);
  std::copy(entries.begin(), entries.end(), lu.entries());
  return lu.factor();
}

const double not_a_number = std::numeric_limits<double>::quiet_NaN(),
             infinity = std::numeric_limits<double>::infinity();

}  // namespace

TEST_CASE_TEMPLATE("badly scaled random equations are solved as well as their condition allows", S, float, double,
                   long double) {
  const std::uint64_t seed = 4242;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  int solved = 0;
  double worst = 0;
  for (int round = 0; round < 400; ++round) {
    CAPTURE(round);
    const std::size_t n = 1 + std::size_t(round) % 12;
    const Problem<S> problem = random_problem<S>(n, random, round % 2 == 0);
    const Eigen::FullPivLU<Matrix> reference(problem.well);
    if (!reference.isInvertible()) continue;
    const Matrix inverse = reference.inverse();
    const long double condition =
        inverse.cwiseAbs().rowwise().sum().maxCoeff() * problem.well.cwiseAbs().rowwise().sum().maxCoeff();
    if (!(condition < 0.01L / static_cast<long double>(round_off<S>)) || !(condition < 1e6L)) continue;
    Lu<S, dynamic_extent> lu(n);
    load(lu, problem);
    REQUIRE(lu.factor());
    std::vector<S> x(n);
    for (std::size_t i = 0; i < n; ++i) x[i] = S(problem.rows[Eigen::Index(i)] * problem.right[Eigen::Index(i)]);
    lu.solve(x.data());
    const Vector expected = inverse * problem.right;
    const long double size = expected.cwiseAbs().maxCoeff();
    for (std::size_t i = 0; i < n; ++i) {
      const long double got = static_cast<long double>(x[i]) * problem.columns[Eigen::Index(i)];
      const long double allowed = static_cast<long double>(round_off<S>) * condition * size;
      worst = std::max(worst, double(std::abs(got - expected[Eigen::Index(i)]) / allowed));
    }
    ++solved;
  }
  CAPTURE(worst);
  CHECK(worst < 12);    // in units of round-off times condition
  CHECK(solved > 300);  // the check above has not passed for want of problems
}

TEST_CASE("one factorisation serves many right-hand sides, and new entries a new one") {
  Lu<double, 2> lu(2);
  const auto check = [&](double a, double b, double c, double d) {
    lu.entries()[0] = a, lu.entries()[1] = b, lu.entries()[2] = c, lu.entries()[3] = d;
    REQUIRE(lu.factor());
    for (const double p : {1.0, -3.0, 0.0}) {
      double x[2] = {p, 5.0};
      lu.solve(x);
      CHECK(a * x[0] + b * x[1] == doctest::Approx(p).scale(1).epsilon(1e-14));
      CHECK(c * x[0] + d * x[1] == closeness::relative(5.0).epsilon(1e-14));
    }
  };
  check(1, 2, 3, 4);
  check(0, 1, 1, 0);      // needs a pivot
  check(1e-20, 1, 1, 1);  // a tiny pivot must not be taken
  check(1, 1e12, 1, 1);   // nor one that only looks large for its row's sake
}

TEST_CASE("sizes fixed and known at run time give the same bits") {
  std::mt19937_64 random(5);
  for (int round = 0; round < 20; ++round) {
    const Problem<double> problem = random_problem<double>(5, random, false);
    Lu<double, 5> fixed(5);
    Lu<double, dynamic_extent> at_run_time(5);
    CHECK(fixed.size() == 5);
    CHECK(at_run_time.size() == 5);
    load(fixed, problem);
    load(at_run_time, problem);
    const bool one = fixed.factor(), other = at_run_time.factor();
    REQUIRE(one == other);
    if (!one) continue;
    std::array<double, 5> x{1, -2, 3, 0, 5}, y = x;
    fixed.solve(x.data());
    at_run_time.solve(y.data());
    CHECK(x == y);
  }
}

TEST_CASE_TEMPLATE("a network of conductances without a path to ground is singular at any scale", S, float, double,
                   long double) {
  const std::uint64_t seed = 99;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> power(-9, 3);
  int refused = 0, accepted_with_path = 0;
  constexpr int rounds = 300;
  for (int round = 0; round < rounds; ++round) {
    const std::size_t n = 2 + std::size_t(round) % 5;
    Lu<S, dynamic_extent> floating(n), grounded(n);
    for (Lu<S, dynamic_extent>* lu : {&floating, &grounded}) std::fill(lu->entries(), lu->entries() + n * n, S(0));
    const auto join = [&](Lu<S, dynamic_extent>& lu, std::size_t a, std::size_t b, S g) {
      lu.entries()[a * n + a] += g, lu.entries()[b * n + b] += g;
      lu.entries()[a * n + b] -= g, lu.entries()[b * n + a] -= g;
    };
    for (std::size_t k = 1; k < n; ++k) {  // a random tree
      const std::size_t other = random() % k;
      const S g = S(std::pow(10.0, power(random)));
      join(floating, k, other, g);
      join(grounded, k, other, g);
    }
    grounded.entries()[0] += S(1);
    refused += floating.factor() ? 0 : 1;
    accepted_with_path += grounded.factor() ? 1 : 0;
  }
  CHECK(refused == rounds);
  // float has no digits left for 1 S next to 1000 S and 1e-9 S in series
  if (!std::is_same_v<S, float>) CHECK(accepted_with_path == rounds);
}

TEST_CASE("singular matrices are refused") {
  CHECK_FALSE(factors<1>({0}));
  CHECK_FALSE(factors<2>({0, 0, 1, 2}));
  CHECK_FALSE(factors<2>({0, 1, 0, 2}));
  CHECK_FALSE(factors<2>({1, 2, 2, 4}));
  CHECK_FALSE(factors<2>({1e-12, 2e-12, 2e9, 4e9}));
  CHECK_FALSE(factors<3>({1, -1, 0, -1, 1, 0, 0, 0, 1}));  // a resistor between two nodes and nothing to ground
  CHECK_FALSE(factors<3>({1, 0, 1, 0, 1, 1, 1, 1, 2}));
  CHECK_FALSE(factors<3>({0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9}));  // singular but for rounding
}

TEST_CASE("nearly singular matrices are not refused as long as digits are left") {
  CHECK(factors<2>({1, 1, 1, 1 + 1e-10}));
  CHECK(factors<2>({1e-18, 0, 0, 1e6}));
  CHECK(factors<1>({1e-300}));
}

TEST_CASE("NaN and infinities are refused wherever they stand") {
  for (const double bad : {not_a_number, infinity, -infinity}) {
    CAPTURE(bad);
    for (std::size_t place = 0; place < 9; ++place) {
      CAPTURE(place);
      std::array<double, 9> full{4, 1, 1, 1, 5, 2, 1, 2, 6}, upper{4, 1, 1, 0, 5, 2, 0, 0, 6},
          diagonal{4, 0, 0, 0, 5, 0, 0, 0, 6};
      full[place] = upper[place] = diagonal[place] = bad;
      CHECK_FALSE(factors<3>(full));
      CHECK_FALSE(factors<3>(upper));
      CHECK_FALSE(factors<3>(diagonal));
    }
  }
}

TEST_CASE("derivatives pass through a solution") {
  using D = Dual<double, 1>;
  // (g1 + g2) v1 - g2 v2 = 1 and -g2 v1 + (g2 + g3) v2 = 0, with respect to g2
  const auto voltage = [](D g2) {
    Lu<D, 2> lu(2);
    const D g1(1.0), g3(0.25);
    lu.entries()[0] = g1 + g2, lu.entries()[1] = -g2, lu.entries()[2] = -g2, lu.entries()[3] = g2 + g3;
    REQUIRE(lu.factor());
    std::array<D, 2> v{D(1), D(0)};
    lu.solve(v.data());
    return v[1];
  };
  // closed form, worked here: v2 = g2 / (g1 g2 + g1 g3 + g2 g3), dv2/dg2 = g1 g3 / (...)^2
  const double g2 = 0.7, sum = g2 + 0.25 + g2 * 0.25;
  CHECK(relative_gap(voltage(D::variable(g2, 0)).value(), g2 / sum) < 1e-15);
  CHECK(relative_gap(voltage(D::variable(g2, 0)).partial(0), 0.25 / (sum * sum)) < 1e-15);
}

TEST_CASE("a zero with a derivative is not skipped in elimination") {
  using D = Dual<double, 1>;
  const D zero = D::variable(0.0, 0);
  Lu<D, 2> lu(2);
  lu.entries()[0] = D(2), lu.entries()[1] = D(3), lu.entries()[2] = zero, lu.entries()[3] = D(5);
  REQUIRE(lu.factor());
  std::array<D, 2> x{D(1), D(1)};
  lu.solve(x.data());
  CHECK(relative_gap(x[0].value(), 0.2) < 1e-15);
  // closed form, worked here: x1 = (5 - 3) / (10 - 3 z), x2 = (2 - z) / (10 - 3 z)
  CHECK(relative_gap(x[0].partial(0), 0.06) < 1e-14);
  CHECK(relative_gap(x[1].partial(0), -0.04) < 1e-14);
}
