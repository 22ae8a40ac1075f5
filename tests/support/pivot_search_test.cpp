// SPDX-License-Identifier: MIT
// The choice of pivots: few new entries on patterns whose best order is known, and no small pivots.
#include <gastube/support/pivot_search.hpp>

#include <doctest/doctest.h>

#include <vector>

using namespace gastube;

namespace {

struct Given {
  SparseIndex row, column;
  double value;
  bool avoid = false;
};
/// Runs a search; the number of entries in the factors beside the pivots, or -1 if it found the matrix singular.
long off_pivots(PivotSearch<double>& search, std::size_t size, const std::vector<Given>& entries) {
  search.start(size, entries.size());
  for (const Given& e : entries) search.put(e.row, e.column, e.value, e.avoid);
  return search.run() ? long(search.lower().size() + search.upper().size()) : -1;
}
/// Adds a symmetric pair.
void join(std::vector<Given>& entries, std::size_t a, std::size_t b) {
  entries.push_back({SparseIndex(a), SparseIndex(b), -0.3});
  entries.push_back({SparseIndex(b), SparseIndex(a), -0.3});
}
std::vector<Given> diagonal(std::size_t size) {
  std::vector<Given> entries;
  for (std::size_t k = 0; k < size; ++k) entries.push_back({SparseIndex(k), SparseIndex(k), 1.0});
  return entries;
}

}  // namespace

TEST_CASE("a chain, a star and a tree are eliminated without new entries") {
  constexpr std::size_t n = 500;
  PivotSearch<double> search;
  std::vector<Given> chain = diagonal(n), star = diagonal(n), tree = diagonal(n);
  for (std::size_t k = 1; k < n; ++k) join(chain, k - 1, k), join(star, 0, k), join(tree, (k - 1) / 2, k);
  for (const auto& pattern : {chain, star, tree}) CHECK(off_pivots(search, n, pattern) == 2 * (long(n) - 1));
}

TEST_CASE("a ring needs no more than one pair of new entries a row, and stays so as it grows") {
  PivotSearch<double> search;
  for (const std::size_t n : {10U, 100U, 1000U, 5000U}) {
    CAPTURE(n);
    std::vector<Given> ring = diagonal(n);
    for (std::size_t k = 0; k < n; ++k) join(ring, k, (k + 1) % n);
    // Closed form: the elimination of a node of a ring joins its neighbours, until three are left: n - 3 new pairs.
    CHECK(off_pivots(search, n, ring) == 2 * (2 * long(n) - 3));
  }
}

TEST_CASE("a source that holds a common rail costs nothing, however many parts hang on it") {
  // Unknowns: rail, source current, and n nodes that each have a conductance to the rail.
  constexpr std::size_t n = 300;
  std::vector<Given> entries{{0, 0, 1.0}, {1, 0, 1.0}, {0, 1, 1.0}};
  for (std::size_t k = 2; k < n + 2; ++k) {
    entries.push_back({SparseIndex(k), SparseIndex(k), 1.0});
    join(entries, 0, k);
    if (k > 2) join(entries, k, k - 1);
  }
  PivotSearch<double> search;
  const long given = long(entries.size()) - long(n + 2);
  CHECK(off_pivots(search, n + 2, entries) == given);
}

TEST_CASE("a pivot is large in its row, whatever the pattern would like best") {
  PivotSearch<double> search;
  REQUIRE(off_pivots(search, 2, {{0, 0, 1e-9}, {0, 1, 1.0}, {1, 0, 1.0}, {1, 1, 1.0}}) >= 0);
  const auto first = search.pivots()[0];
  CHECK_FALSE((first.row == 0 && first.column == 0));
}

TEST_CASE("an entry to be avoided is a pivot only where there is no other") {
  PivotSearch<double> search;
  REQUIRE(off_pivots(search, 2, {{0, 0, 1.0, true}, {0, 1, 0.5}, {1, 0, 0.5}, {1, 1, 1.0, true}}) >= 0);
  for (const auto& pivot : search.pivots()) CHECK(pivot.row != pivot.column);
  CHECK(off_pivots(search, 2, {{0, 0, 1.0, true}, {1, 1, 1.0, true}}) == 0);
}

TEST_CASE("what has no pivot is singular") {
  PivotSearch<double> search;
  CHECK(off_pivots(search, 2, {{0, 0, 1.0}, {0, 1, 1.0}, {1, 0, 1.0}, {1, 1, 1.0}}) == -1);
  CHECK(off_pivots(search, 2, {{0, 0, 1.0}, {0, 1, 1.0}}) == -1);
  CHECK(off_pivots(search, 2, {{0, 1, 1.0}, {1, 1, 1.0}}) == -1);
  CHECK(off_pivots(search, 2, {{0, 0, 0.0}, {1, 1, 1.0}}) == -1);
  CHECK(off_pivots(search, 1, {{0, 0, 1.0}}) == 0);
}
