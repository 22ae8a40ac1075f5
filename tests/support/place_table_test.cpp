// SPDX-License-Identifier: MIT
// The table of places: it finds what was put there and nothing else.
#include <gastube/support/place_table.hpp>

#include <doctest/doctest.h>

#include <map>
#include <random>

using namespace gastube;

TEST_CASE("a table finds each entry at its place, before and after it has grown, and no other") {
  const std::uint64_t seed = 31;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  PlaceTable table;
  for (int round = 0; round < 3; ++round) {
    std::map<std::pair<SparseIndex, SparseIndex>, SparseIndex> expected;
    table.clear(round == 1 ? 5000 : 0);
    for (SparseIndex k = 0; k < 3000; ++k) {
      const SparseIndex row = SparseIndex(random() % 200), column = SparseIndex(random() % 200);
      const auto known = expected.find({row, column});
      CHECK(table.find(row, column) == (known == expected.end() ? PlaceTable::none : known->second));
      if (known != expected.end()) continue;
      table.insert(row, column, k);
      expected[{row, column}] = k;
    }
    int wrong = 0;
    for (const auto& [key, place] : expected) wrong += table.find(key.first, key.second) == place ? 0 : 1;
    CHECK(wrong == 0);
    CHECK(table.find(200, 0) == PlaceTable::none);
  }
}

TEST_CASE("rows and columns are not mixed up, up to the greatest numbers") {
  PlaceTable table;
  table.insert(1, 2, 12);
  table.insert(2, 1, 21);
  table.insert(0xFFFFFFFFU, 0, 7);
  CHECK(table.find(1, 2) == 12);
  CHECK(table.find(2, 1) == 21);
  CHECK(table.find(0xFFFFFFFFU, 0) == 7);
  CHECK(table.find(0, 0xFFFFFFFFU) == PlaceTable::none);
}

TEST_CASE("a cleared table is empty") {
  PlaceTable table;
  table.insert(3, 4, 5);
  table.clear(1);
  CHECK(table.find(3, 4) == PlaceTable::none);
}
