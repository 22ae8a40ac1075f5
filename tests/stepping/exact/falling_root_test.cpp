// SPDX-License-Identifier: MIT
// The root of curves that fall once, from guesses good and bad; later than asked for; from a stretch where they rise.
#include <gastube/stepping/exact/falling_root.hpp>

#include <doctest/doctest.h>

#include <cmath>
#include <initializer_list>
#include <limits>

using namespace gastube;
using namespace gastube::exact;

namespace {

constexpr double no_end = std::numeric_limits<double>::infinity(), for_ever = std::numeric_limits<double>::max();

/// exp(-t) - level, counting the looks.
struct Decay {
  double level;
  int looks = 0;
  Bend<double> operator()(double t) {
    ++looks;
    const double e = std::exp(-t);
    return {e - level, -e, e, e};
  }
};

}  // namespace

TEST_CASE("a logarithm, from guesses near and far") {
  for (const double level : {0.9, 0.5, 1e-3, 1e-9}) {
    const double right = -std::log(level);
    for (const double share : {0.01, 0.5, 0.999, 1.0, 1.1, 20.0}) {
      Decay decay{level};
      const double t = falling_root(decay, 0.0, no_end, share * right, for_ever);
      CHECK(std::fabs(t - right) <= 4e-16 * right + 2e-16 / level);
      CHECK(decay.looks < 80);
    }
  }
}

TEST_CASE("a guess right to a millionth takes one look") {
  Decay decay{0.25};
  CHECK(std::fabs(falling_root(decay, 0.0, no_end, 1.000001 * std::log(4.0), for_ever) - std::log(4.0)) < 3e-16);
  CHECK(decay.looks == 1);
}

TEST_CASE("what comes later than asked for is not looked for") {
  for (const double guess : {0.1, 0.5, 5.0}) {
    Decay decay{0.5};
    CHECK(falling_root(decay, 0.0, no_end, guess, 0.6) == 0.6);
    CHECK(decay.looks < 10);
    CHECK(falling_root(Decay{0.5}, 0.0, 100.0, guess, 0.6) == 0.6);
  }
  CHECK(std::fabs(falling_root(Decay{0.5}, 0.0, no_end, 0.1, 0.7) - std::log(2.0)) < 4e-16);
  CHECK(std::fabs(falling_root(Decay{0.5}, 0.0, 0.7, 0.1, for_ever) - std::log(2.0)) < 4e-16);
}

TEST_CASE("a curve that rises before it falls, and one that is level at its root") {
  // t (3 - t) + 1: its root is (3 + sqrt(13)) / 2
  const auto hill = [](double t) { return Bend<double>{t * (3 - t) + 1, 3 - 2 * t, -2, 0}; };
  const double right = (3 + std::sqrt(13.0)) / 2;
  for (const double guess : {0.01, 0.3, 1.5, 3.0, 50.0})
    CHECK(std::fabs(falling_root(hill, 0.0, no_end, guess, for_ever) - right) < 1e-15);
  CHECK(std::fabs(falling_root(hill, 0.0, 10.0, 1.4, for_ever) - right) < 1e-15);
  const auto level = [](double t) {
    const double x = 2 - t;
    return Bend<double>{x * x * x, -3 * x * x, 6 * x, 6};
  };
  CHECK(std::fabs(falling_root(level, 0.0, 10.0, 1.0, for_ever) - 2) < 1e-5);
}
