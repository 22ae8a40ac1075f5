// SPDX-License-Identifier: MIT
// Ranks, null spaces and solutions of matrices of any shape, and what counts as zero in them.
#include <gastube/stepping/exact/elimination.hpp>

#include <doctest/doctest.h>

#include <cmath>
#include <random>
#include <vector>

using namespace gastube;
using gastube::exact::Elimination;

namespace {

struct Matrix {
  std::size_t rows, columns;
  std::vector<double> entries;
  double operator()(std::size_t i, std::size_t j) const { return entries[i * columns + j]; }
};

/// Entries known to round-off.
template <class Work>
void run(Work& work, const Matrix& a) {
  work.begin(a.rows, a.columns);
  for (std::size_t i = 0; i < a.rows; ++i)
    for (std::size_t j = 0; j < a.columns; ++j) work.set(i, j, a(i, j), round_off<double> * std::fabs(a(i, j)));
  work.run();
}

/// A product of random factors of small whole numbers, so that its rank is known and its entries are exact.
Matrix of_rank(std::mt19937_64& random, std::size_t rows, std::size_t columns, std::size_t rank) {
  std::uniform_int_distribution<int> any(-9, 9);
  std::vector<double> left(rows * rank), right(rank * columns);
  for (auto& entry : left) entry = any(random);
  for (auto& entry : right) entry = any(random);
  for (std::size_t k = 0; k < rank; ++k) left[k * rank + k] += 50, right[k * columns + k] += 50;
  Matrix a{rows, columns, std::vector<double>(rows * columns, 0.0)};
  for (std::size_t i = 0; i < rows; ++i)
    for (std::size_t j = 0; j < columns; ++j)
      for (std::size_t k = 0; k < rank; ++k) a.entries[i * columns + j] += left[i * rank + k] * right[k * columns + j];
  return a;
}

}  // namespace

TEST_CASE("rank, null spaces and solutions of random matrices") {
  const unsigned seed = 20260416;
  std::mt19937_64 random(seed);
  Elimination<double, 8> work;
  for (int turn = 0; turn < 100; ++turn) {
    INFO("seed ", seed, ", matrix ", turn);
    const std::size_t rows = 1 + random() % 8, columns = 1 + random() % 8;
    const std::size_t rank = random() % (std::min(rows, columns) + 1);
    const Matrix a = of_rank(random, rows, columns, rank);
    run(work, a);
    REQUIRE(work.rank() == rank);

    std::vector<double> x(columns), b(rows, 0.0), got(rank), u(rows), c(columns, 0.0);
    for (auto& entry : x) entry = double(random() % 19) - 9;
    for (std::size_t i = 0; i < rows; ++i)
      for (std::size_t j = 0; j < columns; ++j) b[i] += a(i, j) * x[j];
    work.solve(b.data(), 1, got.data());
    for (std::size_t i = 0; i < rows; ++i) {
      double left = b[i];
      for (std::size_t k = 0; k < rank; ++k) left -= a(i, work.column_at(k)) * got[k];
      CHECK(std::fabs(left) < 1e-9);
    }
    for (std::size_t j = 0; j < columns; ++j)
      for (std::size_t i = 0; i < rows; ++i) c[j] += a(i, j) * double(i + 1);
    work.solve_left(c.data(), u.data());
    for (std::size_t j = 0; j < columns; ++j) {
      double left = c[j];
      for (std::size_t i = 0; i < rows; ++i) left -= u[i] * a(i, j);
      CHECK(std::fabs(left) < 1e-9);
    }

    std::vector<double> free(columns * columns), left_free(rows * rows);
    work.left_kernel(left_free.data());
    work.kernel(free.data());
    for (std::size_t k = 0; k < columns - rank; ++k)
      for (std::size_t i = 0; i < rows; ++i) {
        double sum = 0;
        for (std::size_t j = 0; j < columns; ++j) sum += a(i, j) * free[k * columns + j];
        CHECK(std::fabs(sum) < 1e-10);
      }
    for (std::size_t k = 0; k < rows - rank; ++k)
      for (std::size_t j = 0; j < columns; ++j) {
        double sum = 0;
        for (std::size_t i = 0; i < rows; ++i) sum += left_free[k * rows + i] * a(i, j);
        CHECK(std::fabs(sum) < 1e-10);
      }
  }
}

TEST_CASE("a small entry counts, what rounding leaves of a large one does not") {
  Elimination<double, 2> work;
  run(work, {2, 2, {1e-3, -1e-3, -1e-3, 1e-3 + 1e-12}});
  CHECK(work.rank() == 2);
  run(work, {2, 2, {0.1, 0.3, 0.3, 0.9}});  // 0.9 - 3 * 0.3 is not 0 in binary numbers
  CHECK(work.rank() == 1);
  run(work, {2, 2, {1e9, 0, 0, 1e-300}});
  CHECK(work.rank() == 2);
  run(work, {2, 2, {0, 0, 0, 0}});
  CHECK(work.rank() == 0);
}

TEST_CASE("an error inherited from a large entry follows a small one") {
  // Two capacitors in a row, the small one last: the middle node's own is their rounded sum. None is tied to ground.
  const double large = 1e-3, small = 1e-12 / 3;
  const double matrix[3][3] = {{large, -large, 0}, {-large, large + small, -small}, {0, -small, small}};
  for (const auto& order : {std::array{0, 1, 2}, std::array{1, 0, 2}, std::array{2, 0, 1}, std::array{2, 1, 0}}) {
    Elimination<double, 3> work;
    work.begin(3, 3);
    for (std::size_t i = 0; i < 3; ++i)
      for (std::size_t j = 0; j < 3; ++j) {
        const double entry = matrix[order[i]][order[j]];
        work.set(i, j, entry, round_off<double> * std::fabs(entry));
      }
    work.run();
    REQUIRE(work.rank() == 2);
    double level[3];
    work.kernel(level);
    for (const double entry : level) CHECK(entry == doctest::Approx(1.0).epsilon(1e-6));
  }
}
