// SPDX-License-Identifier: MIT
// A position: as many numbers as the system has, all zero, and a view of them that owns nothing.
#include <gastube/stepping/position.hpp>

#include "support_for_tests/quiet_system.hpp"

#include <doctest/doctest.h>

using namespace gastube;

namespace {
template <bool Dynamic>
struct Five : QuietSystem<double, 5, 2, int, Dynamic> {
  void write(const Instant<double>&, int, Equations<double>&) const {}
};

template <class System>
void check_position() {
  Position<System> at{System{}};
  CHECK(at.time == 0.0);
  CHECK(at.x.size() == 5);
  CHECK(at.y.size() == 2);
  CHECK(at.currents.size() == 5);
  CHECK(at.rate_bound.size() == 5);
  for (std::size_t k = 0; k < 5; ++k) CHECK((at.x[k] == 0.0 && at.currents[k] == 0.0 && at.rate_bound[k] == 0.0));
  at.time = 3.0, at.x[4] = 7.0, at.y[1] = -2.0;
  const Instant<double> instant = at.instant();
  CHECK(instant.time == 3.0);
  CHECK(instant.x[4] == 7.0);
  CHECK(instant.y[1] == -2.0);
  CHECK(instant.x == at.x.data());
}
}  // namespace

TEST_CASE("a position begins with zeros, as many as the system has unknowns and followers") {
  check_position<Five<false>>();
  check_position<Five<true>>();
}
