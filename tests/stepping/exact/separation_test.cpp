// SPDX-License-Identifier: MIT
// Moving and uncoupling eigenvalues of a triangular matrix.
#include <gastube/stepping/exact/schur.hpp>
#include <gastube/stepping/exact/separation.hpp>

#include <doctest/doctest.h>

#include <cmath>
#include <random>
#include <vector>

using namespace gastube;
using namespace gastube::exact;

namespace {

std::vector<double> random_matrix(std::size_t n, std::mt19937_64& random) {
  std::uniform_real_distribution<double> unit(-1, 1);
  std::vector<double> a(n * n);
  for (auto& entry : a) entry = unit(random);
  return a;
}

}  // namespace

namespace {

using C = Complex<double>;

/// A random matrix in separation form.
struct Fixture {
  std::size_t n;
  std::vector<double> a, h, z, work, scale;
  std::vector<std::size_t> block;
  std::vector<C> t, right, left, x, row;
  Separation<double> parts;

  Fixture(std::size_t size, std::mt19937_64& random)
      : n(size)
      , a(random_matrix(n, random))
      , h(a)
      , z(n * n, 0.0)
      , work(n)
      , scale(n)
      , block(n, 0)
      , t(n * n)
      , right(t)
      , left(t)
      , x(t)
      , row(n)
      , parts(n, t.data(), right.data(), left.data(), x.data(), row.data(), scale.data()) {
    for (std::size_t i = 0; i < n; ++i) z[i * n + i] = 1;
    reduce_to_hessenberg(n, h.data(), z.data(), work.data());
    REQUIRE(QrSteps<double>(n, h.data(), z.data()).run());
    parts.start(h.data(), z.data(), block.data());
  }
  /// Greatest entry of left A right - T, of left right - 1, and of T below its diagonal.
  double gap() const {
    double worst = 0;
    for (std::size_t i = 0; i < n; ++i)
      for (std::size_t j = 0; j < n; ++j) {
        C similar = -parts.entry(i, j), unit{i == j ? -1.0 : 0.0};
        for (std::size_t k = 0; k < n; ++k) {
          unit += parts.row(i)[k] * parts.column(j)[k];
          for (std::size_t l = 0; l < n; ++l) similar += a[k * n + l] * (parts.row(i)[k] * parts.column(j)[l]);
        }
        worst = std::fmax(worst, std::fmax(size_of(similar), size_of(unit)));
        if (i > j) worst = std::fmax(worst, size_of(parts.entry(i, j)));
      }
    return worst;
  }
};

}  // namespace

TEST_CASE("the form holds at the start, after moves, and after uncoupling") {
  const std::uint64_t seed = 14;
  MESSAGE("seed " << seed);
  std::mt19937_64 random(seed);
  for (std::size_t n = 2; n < 9; ++n) {
    Fixture f(n, random);
    CHECK(f.gap() < 2e-14);
    const C moved = f.parts.rate(n - 1);
    f.parts.move(n - 1, 0);
    CHECK(f.gap() < 3e-14);
    CHECK(size_of(f.parts.rate(0) - moved) == 0);
    REQUIRE(f.parts.uncouple(0, 1, n, 1e6));
    for (std::size_t j = 1; j < n; ++j) CHECK(size_of(f.parts.entry(0, j)) == 0);
    CHECK(f.gap() < 1e-11);
    const auto left = f.left;
    CHECK_FALSE(f.parts.uncouple(1, 1, n, 1e-9));  // nothing is that well conditioned, and nothing is done
    for (std::size_t i = 0; i < n * n; ++i) CHECK(size_of(left[i] - f.left[i]) == 0);
  }
}
