// SPDX-License-Identifier: MIT
// Storage of modes at fixed and at run-time size.
#include <gastube/stepping/exact/modal_basis.hpp>

#include <doctest/doctest.h>

#include <type_traits>

using namespace gastube;
using namespace gastube::exact;

TEST_CASE("room for m modes, on the heap only at run-time size") {
  const ModalBasis<double, 3> fixed(2);
  const ModalBasis<double, dynamic_extent> free(5);
  CHECK(fixed.right.size() == 9);
  CHECK(free.right.size() == 25);
  CHECK(free.groups.size() == 5);
  CHECK(free.count == 0);
  CHECK(free.groups[4].size == 1);
  CHECK(std::is_trivially_destructible_v<ModalBasis<double, 3>>);
}
