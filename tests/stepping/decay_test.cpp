// SPDX-License-Identifier: MIT
// A follower's exact run against closed forms: constant, straight and curved sources, from no decay to all of it.
#include <gastube/adapt/dual.hpp>
#include <gastube/stepping/decay.hpp>

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {

/// dy/dt = p + q t + r t^2 - d y, y(0) = y0, in closed form for d > 0, in long double.
long double exact(long double y0, long double p, long double q, long double r, double decay, double time) {
  const auto d = static_cast<long double>(decay), t = static_cast<long double>(time);
  const long double c = r / d, b = (q - 2 * c) / d, a = (p - b) / d;  // a + b t + c t^2 solves it
  return a + b * t + c * t * t + (y0 - a) * std::exp(-d * t);
}

}  // namespace

TEST_CASE("a follower runs as the closed form says, for every decay and a source that is a parabola") {
  const double length = 0.7;
  for (double d = 0.3; d < 1e6; d *= 2.3) {
    CAPTURE(d);
    const FollowerDecay<double> run(d, length);
    CHECK(relative_gap(run(2, 3, 3), exact(2, 3, 0, 0, d, length)) < 1e-14);
    CHECK(relative_gap(run(2, 3, 3 + 5 * length), exact(2, 3, 5, 0, d, length)) < 1e-13);
    const auto source = [](double t) { return 3 + 5 * t - 4 * t * t; };
    CHECK(relative_gap(run.curved(2, source(0), source(length / 2), source(length), 1), exact(2, 3, 5, -4, d, length))
          < 1e-12);
  }
}

TEST_CASE("part of a step runs along the whole step's parabola") {
  const double step = 0.9, d = 1.7;
  const auto source = [](double t) { return 3 + 5 * t - 4 * t * t; };
  for (const double share : {0.1, 1.0 / 3, 0.386, 0.63, 1.0}) {
    const FollowerDecay<double> run(d, share * step);
    const double y = run.curved(2, source(0), source(step / 2), source(step), share);
    CHECK(relative_gap(y, exact(2, 3, 5, -4, d, share * step)) < 1e-13);
  }
}

TEST_CASE("without decay it is an integral, and short lengths lose no digits") {
  const FollowerDecay<double> none(0.0, 2.0);
  CHECK(none.kept == 1.0);
  CHECK(relative_gap(none(1, 3, 5), 1 + 2 * 4.0) < 1e-15);
  CHECK(relative_gap(none.curved(1, 0, 1, 4, 1), 1 + 8.0 / 3) < 1e-15);  // source t^2 over 0 to 2
  for (double z = 1e-9; z < 0.2; z *= 1.9) {
    const FollowerDecay<double> run(z, 1.0);
    const auto lz = static_cast<long double>(z);
    CHECK(relative_gap(run.level, -std::expm1(-lz) / lz) < 4e-15);
    CHECK(relative_gap(run.kept, std::exp(-lz)) < 4e-15);
  }
}

TEST_CASE_TEMPLATE("float, long double and derivatives pass through", S, float, long double) {
  const FollowerDecay<S> run(S(2), S(0.5));
  CHECK(absolute_gap(run(S(1), S(3), S(3)), 1.5 - 0.5 * std::exp(-1.0)) < 1e-6);
  using D = Dual<double, 1>;
  const FollowerDecay<D> slope(D::variable(2.0, 0), D(0.5));
  CHECK(absolute_gap(slope(D(1), D(0), D(0)).partial(0), -0.5 * std::exp(-1.0)) < 1e-15);
}
