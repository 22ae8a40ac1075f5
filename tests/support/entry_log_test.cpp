// SPDX-License-Identifier: MIT
// The log of entries: it keeps the order, and says when it was too short.
#include <gastube/support/entry_log.hpp>

#include <doctest/doctest.h>

using namespace gastube;

TEST_CASE("a log keeps what fits and says when it was too short") {
  EntryLog<double> log(2);
  log.put(1, 2, 3.0);
  CHECK(log.size() == 1);
  CHECK_FALSE(log.is_full());
  CHECK(log[0].row == 1);
  CHECK(log[0].column == 2);
  CHECK(log[0].value == 3.0);
  for (int k = 0; k < 5; ++k) log.put(0, 0, 1.0);
  CHECK(log.is_full());
  log.enlarge();
  CHECK(log.size() == 0);
  for (std::size_t k = 0; k < 4; ++k) log.put(k, k, 1.0);
  CHECK_FALSE(log.is_full());
}
