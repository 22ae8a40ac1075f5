// SPDX-License-Identifier: MIT
// One spelling for lengths known at compile time and at run time.
#include <gastube/support/storage.hpp>

#include <doctest/doctest.h>

#include <type_traits>

using namespace gastube;

namespace {
static_assert(std::is_same_v<Storage<float, 3>, std::array<float, 3>>);
static_assert(std::is_same_v<Storage<float, dynamic_extent>, std::vector<float>>);
static_assert(extent_sum(2, 3) == 5 && extent_product(2, 3) == 6 && extent_product(0, 3) == 0);
static_assert(extent_sum(2, dynamic_extent) == dynamic_extent && extent_sum(dynamic_extent, 2) == dynamic_extent);
static_assert(extent_product(2, dynamic_extent) == dynamic_extent
              && extent_product(dynamic_extent, 2) == dynamic_extent);
}  // namespace

TEST_CASE("storage of either kind is filled over its whole length") {
  const auto fixed = filled<int, 4>(4, 7);
  const auto at_run_time = filled<int, dynamic_extent>(4, 7);
  REQUIRE(at_run_time.size() == 4);
  for (std::size_t k = 0; k < 4; ++k) {
    CHECK(fixed[k] == 7);
    CHECK(at_run_time[k] == 7);
  }
  CHECK(zeros<double, 2>(2) == std::array<double, 2>{0.0, 0.0});
  CHECK(zeros<double, dynamic_extent>(2) == std::vector<double>{0.0, 0.0});
  CHECK(zeros<double, dynamic_extent>(0).empty());
}

TEST_CASE("a fixed length does not listen to the length given") {
  CHECK(filled<int, 3>(17, 5) == std::array<int, 3>{5, 5, 5});
}
