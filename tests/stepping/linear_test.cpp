// SPDX-License-Identifier: MIT
#include <gastube/stepping/linear.hpp>

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <utility>

using namespace gastube;
using M = Margin<double>;

namespace {

const std::array<double, 2> x{3, -5}, y{0.5, 7};
const Instant<double> at{2, x.data(), y.data()};

/// Sums that are just these numbers; true begins a group.
[[nodiscard]] M sums(const std::array<std::pair<double, bool>, 4>& values) {
  M margin;
  for (const auto& [value, begins] : values) (begins ? margin.begin() : margin.join()).constant(value);
  return margin;
}

}  // namespace

TEST_CASE("a sum adds constants, time and products of unknowns and followers") {
  M margin;
  margin.begin().constant(10).per_second(0.25).add(2, M::unknown(0)).add(-3, M::unknown(1), M::follower(0));
  CHECK(margin.value(at) == 10 + 0.5 + 6 + 7.5);
  margin.add(4, {});  // twice the number 1: a constant
  CHECK(margin.value(at) == 28);
  CHECK(margin.size() == 1);
  CHECK(margin.sum(0).size == 2);
}

TEST_CASE("groups: the least of the greatest, or the greatest of the least") {
  for (const double a : {-1.0, 2.0})
    for (const double b : {-3.0, 4.0})
      for (const double c : {-5.0, 6.0})
        for (const double d : {-7.0, 8.0}) {
          M margin = sums({{{a, true}, {b, true}, {c, true}, {d, true}}});
          CHECK(margin.value(at) == std::min({a, b, c, d}));
          CHECK(margin.greatest().value(at) == std::max({a, b, c, d}));
          margin = sums({{{a, true}, {b, false}, {c, true}, {d, false}}});
          CHECK(margin.value(at) == std::min(std::max(a, b), std::max(c, d)));
          CHECK(margin.greatest().value(at) == std::max(std::min(a, b), std::min(c, d)));
          margin = sums({{{a, true}, {b, true}, {c, false}, {d, false}}});
          CHECK(margin.value(at) == std::min(a, std::max({b, c, d})));
          CHECK(margin.greatest().value(at) == std::max(a, std::min({b, c, d})));
        }
}

TEST_CASE("a cleared margin begins anew") {
  M margin = sums({{{1, true}, {2, true}, {3, true}, {4, false}}});
  margin.greatest().clear();
  CHECK(margin.size() == 0);
  CHECK_FALSE(margin.is_greatest());
  margin.begin().constant(5);
  CHECK_FALSE(margin.sum(0).joined);
  CHECK(margin.value(at) == 5);
}
