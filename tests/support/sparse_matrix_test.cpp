// SPDX-License-Identifier: MIT
// The sparse matrix and the log it is written by: sums, a pattern that only grows, and a log that says when it is full.
#include <gastube/support/sparse_matrix.hpp>

#include <doctest/doctest.h>

#include <algorithm>
#include <random>

using namespace gastube;

namespace {

struct Addition {
  std::size_t row, column;
  double value;
};

/// The entries of a matrix written by these additions, row-major.
std::vector<double> written(SparseMatrix<double>& matrix, const std::vector<Addition>& additions) {
  int rounds = 0;
  do {
    REQUIRE(++rounds < 40);
    matrix.log().begin();
    for (const Addition& a : additions) matrix.log().put(a.row, a.column, a.value);
  } while (!matrix.take());
  std::vector<double> all(matrix.size() * matrix.size());
  for (std::size_t k = 0; k < matrix.count(); ++k)
    all[matrix.row(k) * matrix.size() + matrix.column(k)] = matrix.value(k);
  return all;
}
std::vector<double> expected(std::size_t size, const std::vector<Addition>& additions) {
  std::vector<double> all(size * size);
  for (const Addition& a : additions) all[a.row * size + a.column] += a.value;
  return all;
}

}  // namespace

TEST_CASE("a matrix is the sum of what was last written, in whatever order") {
  const std::uint64_t seed = 77;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_int_distribution<int> whole(-8, 8);  // sums of these are exact
  for (const std::size_t size : {1U, 3U, 20U}) {
    SparseMatrix<double> matrix(size);
    std::vector<Addition> additions;
    for (int round = 0; round < 40; ++round) {
      CAPTURE(round);
      const int kind = round % 4;
      if (kind == 0)  // anew, and more and more: the log has to grow
        for (additions.clear(); additions.size() < 20 * std::size_t(round);)
          additions.push_back({random() % size, random() % size, 0.0});
      if (kind == 2) std::shuffle(additions.begin(), additions.end(), random);
      if (kind == 3 && !additions.empty()) additions.erase(additions.begin());  // all others come one place earlier
      for (Addition& a : additions) a.value = whole(random);
      CHECK(written(matrix, additions) == expected(size, additions));
    }
  }
}

TEST_CASE("the pattern keeps what is no longer written, with the value 0") {
  SparseMatrix<double> matrix(2);
  CHECK(written(matrix, {{0, 0, 1.0}, {1, 1, 2.0}}) == std::vector<double>{1, 0, 0, 2});
  CHECK(matrix.count() == 2);
  CHECK(written(matrix, {{1, 0, 3.0}}) == std::vector<double>{0, 0, 3, 0});
  CHECK(matrix.count() == 3);
  CHECK(matrix.find(1, 0) != PlaceTable::none);
  CHECK(matrix.find(0, 1) == PlaceTable::none);
}

TEST_CASE("a row becomes that of the unit matrix, also where its diagonal was never written") {
  SparseMatrix<double> matrix(3);
  static_cast<void>(written(matrix, {{0, 1, 4.0}, {0, 2, 5.0}, {1, 1, 6.0}, {2, 0, 7.0}}));
  matrix.make_unit_row(0);
  CHECK(matrix.value(matrix.find(0, 0)) == 1.0);
  CHECK(matrix.value(matrix.find(0, 1)) == 0.0);
  CHECK(matrix.value(matrix.find(0, 2)) == 0.0);
  CHECK(matrix.value(matrix.find(1, 1)) == 6.0);
}

TEST_CASE("empty rows are those without an entry or with zeros only") {
  SparseMatrix<double> matrix(4);
  static_cast<void>(written(matrix, {{0, 1, 4.0}, {1, 1, 0.0}, {3, 0, 2.0}, {3, 0, -2.0}, {3, 3, -1.0}}));
  std::vector<char> flags(4, 5);
  matrix.mark_empty_rows(flags.data());
  CHECK(flags == std::vector<char>{0, 1, 1, 0});
}

TEST_CASE("a forgotten pattern is learnt anew, as by a matrix that was never written") {
  SparseMatrix<double> used(2), fresh(2);
  CHECK(written(used, {{0, 0, 1.0}, {0, 1, 5.0}, {1, 1, 2.0}}) == std::vector<double>{1, 5, 0, 2});
  used.forget_pattern();
  CHECK(used.count() == 0);
  const std::vector<Addition> additions{{1, 0, 3.0}, {0, 0, 4.0}};
  CHECK(written(used, additions) == written(fresh, additions));
  REQUIRE(used.count() == 2);
  for (std::size_t k = 0; k < 2; ++k) CHECK(used.row(k) == fresh.row(k));
  CHECK(used.find(0, 1) == PlaceTable::none);
}
