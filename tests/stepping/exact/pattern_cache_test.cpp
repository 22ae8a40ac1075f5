// SPDX-License-Identifier: MIT
// Patterns are worked out once a mode, and the one unused for longest makes room where room is fixed.
#include <gastube/stepping/exact/pattern_cache.hpp>

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <algorithm>

using namespace gastube;
using namespace gastube::exact;
using closeness::relative_gap;

namespace {

/// A capacitor of `farads` across as many siemens as the mode says.
template <std::size_t Extent>
struct Leak {
  using Scalar = double;
  struct Mode {
    unsigned char siemens = 1;
    double unseen = 0;  // no part of the pattern
  };
  static constexpr std::size_t extent = Extent, follower_extent = 0, pattern_extent = 1;
  static constexpr bool piecewise_linear = true;

  double farads = 1;

  [[nodiscard]] static std::size_t unknowns() { return 1; }
  [[nodiscard]] static std::size_t followers() { return 0; }
  [[nodiscard]] static double nominal(std::size_t) { return 1; }
  void write(const Instant<double>& at, const Mode& mode, Equations<double>& to) const {
    to.store(0, 0, farads);
    to.flow(0, mode.siemens * at.x[0]);
    to.flow_slope(0, 0, mode.siemens);
  }
  static void follow(const Instant<double>&, const Mode&, FollowRate<double>*) {}
  static void drives(double, const Mode&, auto&&) {}
  [[nodiscard]] static std::size_t guards() { return 0; }
  [[nodiscard]] static double guard(std::size_t, const Instant<double>&, const Mode&) { return 1; }
  [[nodiscard]] static bool opens(std::size_t, const Mode&) { return false; }
  static Change fire(std::size_t, const Instant<double>&, Mode&, double*) { return {}; }
  [[nodiscard]] static double next_breakpoint(double, const Mode&) { return unlimited<double>(); }
  static void pass_breakpoint(double, Mode&) {}
  [[nodiscard]] static std::size_t pattern_size() { return 1; }
  static void pattern(const Mode& mode, unsigned char* numbers) { *numbers = mode.siemens; }
  static bool margin(std::size_t, const Mode&, Margin<double>&) { return false; }
  [[nodiscard]] static bool follows_straight(std::size_t) { return true; }
};

/// Looks modes up and checks that what is found is theirs.
template <std::size_t Extent>
struct Shelf {
  Leak<Extent> system;
  PatternCache<Leak<Extent>> cache{system};

  /// @return true if it had to be built
  bool builds(unsigned siemens, double unseen = 0) {
    const long before = cache.built();
    const auto& form = cache.find(system, {static_cast<unsigned char>(siemens), unseen}, 0);
    CHECK(form.status == Status::done);
    REQUIRE(form.groups == 1);
    CHECK(relative_gap(form.group[0].rate.re, -double(siemens) / system.farads) < 1e-15);
    CHECK(cache.built() - before <= 1);
    return cache.built() > before;
  }
};

}  // namespace

TEST_CASE("a mode met again is not built again, until all is forgotten") {
  Shelf<1> shelf;
  CHECK(shelf.builds(1));
  CHECK(shelf.builds(2));
  CHECK_FALSE(shelf.builds(1));
  CHECK_FALSE(shelf.builds(2, 7.5));
  CHECK(shelf.cache.built() == 2);
  shelf.system.farads = 4;
  shelf.cache.forget();
  CHECK(shelf.builds(2));
  CHECK(shelf.builds(1));
  CHECK_FALSE(shelf.builds(2));
  CHECK(shelf.cache.built() == 4);
}

TEST_CASE("at fixed size the pattern unused for longest makes room") {
  constexpr std::size_t in_a_megabyte = (std::size_t(1) << 20) / sizeof(Pattern<Leak<1>>);
  constexpr unsigned most = in_a_megabyte < 4 ? 4 : in_a_megabyte > 32 ? 32 : in_a_megabyte;
  Shelf<1> shelf;
  for (unsigned k = 1; k <= most; ++k) CHECK(shelf.builds(k));
  for (unsigned k = 1; k <= most; ++k) CHECK_FALSE(shelf.builds(k));
  CHECK_FALSE(shelf.builds(1));   // 2 is now the oldest
  CHECK(shelf.builds(most + 1));  // takes its place
  CHECK_FALSE(shelf.builds(1));
  for (unsigned k = 3; k <= most + 1; ++k) CHECK_FALSE(shelf.builds(k));
  CHECK(shelf.builds(2));  // takes that of 1
  CHECK_FALSE(shelf.builds(3));
  CHECK(shelf.builds(1));
}

TEST_CASE("at run-time size all are kept") {
  Shelf<dynamic_extent> shelf;
  for (unsigned k = 1; k <= 200; ++k) CHECK(shelf.builds(k));
  for (unsigned k = 200; k >= 1; --k) CHECK_FALSE(shelf.builds(k));
  CHECK(shelf.cache.built() == 200);
}
