// SPDX-License-Identifier: MIT
// Derivatives of every operation: closed forms, central differences, and Eigen's AutoDiffScalar as a second opinion.
#include <gastube/adapt/dual.hpp>
#include <gastube/support/math.hpp>
#include <gastube/tube/grid/electron_current.hpp>
#include <gastube/tube/ignition/low_voltage_knee.hpp>

#include "support_for_tests/closeness.hpp"

#include <Eigen/Core>
#include <doctest/doctest.h>
#include <unsupported/Eigen/AutoDiff>

#include <cmath>
#include <limits>
#include <random>

using namespace gastube;
using closeness::relative_gap;

namespace {

using D = Dual<double, 2>;
using E = Eigen::AutoDiffScalar<Eigen::Vector2d>;

static_assert(Real<E>);  // bring your own automatic differentiation
static_assert(std::is_trivially_copyable_v<D>);
static_assert(std::convertible_to<double, D> && std::convertible_to<int, D>);
static_assert(!std::convertible_to<float, D> && !std::convertible_to<long double, D>);  // digits may be lost

/// Everything that two independent differentiators must agree on, as functions of two quantities.
const auto add = [](const auto& x, const auto& y) { return x + y; };
const auto subtract = [](const auto& x, const auto& y) { return x - y; };
const auto multiply = [](const auto& x, const auto& y) { return x * y; };
const auto divide = [](const auto& x, const auto& y) { return x / y; };
const auto negate = [](const auto& x, const auto& y) { return -x + y; };
const auto accumulate = [](const auto& x, const auto& y) {
  auto sum = x;
  sum += y, sum *= x, sum -= x, sum /= y;
  return sum;
};
const auto exponential = [](const auto& x, const auto& y) { return math::exp(std::decay_t<decltype(x)>(x * y)); };
const auto logarithm = [](const auto& x, const auto& y) { return math::log(std::decay_t<decltype(x)>(x / y)); };
const auto root = [](const auto& x, const auto& y) { return math::sqrt(std::decay_t<decltype(x)>(x * y)); };
const auto power = [](const auto& x, const auto& y) { return math::pow(std::decay_t<decltype(x)>(x * y), -1.7); };
const auto sine = [](const auto& x, const auto& y) { return math::sin(std::decay_t<decltype(x)>(x * y)); };
const auto cosine = [](const auto& x, const auto& y) { return math::cos(std::decay_t<decltype(x)>(x - y)); };
const auto mixture = [](const auto& x, const auto& y) {
  using S = std::decay_t<decltype(x)>;
  const S shaped = S(math::exp(S(-x)) * math::sqrt(S(x + y)) / math::log(S(x + S(2))));
  return S(math::min(shaped, y) + math::three_halves_power(x) + math::abs(S(x - y)) + math::positive_part(S(y - x)));
};

template <class S, class Function>
S at(Function&& f, const S& x, const S& y) {
  return S(f(x, y));
}

/// Central difference in one argument; its error is a few 1e-10 of the values here.
template <class Function>
double central(Function&& f, double x, double y, int argument) {
  const double step = 1e-5 * (argument == 0 ? x : y);
  const double dx = argument == 0 ? step : 0, dy = argument == 0 ? 0 : step;
  return (at<double>(f, x + dx, y + dy) - at<double>(f, x - dx, y - dy)) / (2 * step);
}

template <class Function>
void check_everywhere(const char* operation, Function&& f) {
  CAPTURE(operation);
  const std::uint64_t seed = 20240611;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> any(0.2, 3.0);
  for (int round = 0; round < 50; ++round) {
    const double x = any(random), y = any(random);
    CAPTURE(x);
    CAPTURE(y);
    const D ours = at<D>(f, D::variable(x, 0), D::variable(y, 1));
    const E theirs = at<E>(f, E(x, 2, 0), E(y, 2, 1));
    const double scale = std::abs(ours.value()) + std::abs(ours.partial(0)) + std::abs(ours.partial(1));
    CHECK(ours.value() == at<double>(f, x, y));  // same operations, hence the same bits
    for (int k = 0; k < 2; ++k) {
      CHECK(std::abs(ours.partial(std::size_t(k)) - theirs.derivatives()[k]) <= 1e-14 * scale);
      CHECK(std::abs(ours.partial(std::size_t(k)) - central(f, x, y, k)) <= 1e-8 * scale);
    }
  }
}

template <class S>
KneedLine<S> knee(const S& ionisation, const S& rise) {
  return {{S(250), S(2), S(0)}, {ionisation, rise, S(40)}};
}
template <class S>
SpaceChargeCurrent<S> electrons(const S& perveance, const S& control_ratio) {
  return {perveance, control_ratio, S(500), S(-0.5), S(1.5), {S(1e-9)}};
}

}  // namespace

TEST_CASE("every operation agrees with another differentiator and with central differences") {
  check_everywhere("x + y", add);
  check_everywhere("x - y", subtract);
  check_everywhere("x * y", multiply);
  check_everywhere("x / y", divide);
  check_everywhere("-x + y", negate);
  check_everywhere("compound assignments", accumulate);
  check_everywhere("exp", exponential);
  check_everywhere("log", logarithm);
  check_everywhere("sqrt", root);
  check_everywhere("pow", power);
  check_everywhere("sin", sine);
  check_everywhere("cos", cosine);
  check_everywhere("a law's mixture", mixture);
}

TEST_CASE("a variable is its own derivative and a constant has none") {
  const D x = D::variable(3.5, 1);
  CHECK(x.value() == 3.5);
  CHECK(x.partial(0) == 0.0);
  CHECK(x.partial(1) == 1.0);
  CHECK(D(3.5).partials() == std::array<double, 2>{0.0, 0.0});
  CHECK(D().value() == 0.0);
  CHECK(D().partials() == std::array<double, 2>{0.0, 0.0});
  CHECK_THROWS_WITH_AS(static_cast<void>(D::variable(3.5, 2)),
                       "dual number: index = 2, allowed: below the number of derivatives", InvalidParameter);
}

TEST_CASE("a number may be combined with itself") {
  D x = D::variable(3.0, 0);
  const D& itself = x;
  x *= itself;
  CHECK(x.value() == 9.0);
  CHECK(x.partial(0) == 6.0);
  x /= itself;
  CHECK(x.value() == 1.0);
  CHECK(x.partial(0) == doctest::Approx(0.0).scale(1).epsilon(1e-15));
  x -= itself;
  CHECK(x.value() == 0.0);
  CHECK(x.partial(0) == 0.0);
}

TEST_CASE("plain numbers mix in on either side") {
  const D x = D::variable(4.0, 0);
  CHECK((2.0 * x + 1).partial(0) == 2.0);
  CHECK((1 / x).partial(0) == -0.0625);
  CHECK((x - 1.0).value() == 3.0);
  CHECK((+x).partial(0) == 1.0);
}

TEST_CASE("comparisons see values only") {
  const D a = D::variable(1.0, 0), b = D::variable(1.0, 1), c(2.0), none(std::numeric_limits<double>::quiet_NaN());
  CHECK(a == b);
  CHECK(a != c);
  CHECK(a < c);
  CHECK_FALSE(a < b);
  CHECK(a <= b);
  CHECK(c > a);
  CHECK(a >= b);
  CHECK(a < 1.5);
  CHECK_FALSE(none < a);
  CHECK_FALSE(none >= a);
  CHECK_FALSE(none == none);
}

TEST_CASE("where a slope is infinite constants stay constants and variables say so") {
  const double infinity = std::numeric_limits<double>::infinity();
  const D zero = D::variable(0.0, 0);
  CHECK(sqrt(zero).value() == 0.0);
  CHECK(sqrt(zero).partial(0) == infinity);
  CHECK(sqrt(zero).partial(1) == 0.0);  // 0 times infinity would be NaN
  CHECK(sqrt(D(0.0)).partials() == std::array<double, 2>{0.0, 0.0});
  CHECK(sqrt(-zero).partial(0) == -infinity);
  CHECK(pow(zero, 0.5).partial(0) == infinity);
  CHECK(pow(zero, 0.5).partial(1) == 0.0);
  CHECK(log(zero).partial(0) == infinity);
  CHECK(log(zero).partial(1) == 0.0);
}

TEST_CASE("powers at zero have their exact slopes") {
  const D zero = D::variable(0.0, 0);
  CHECK(pow(zero, 0.0).value() == 1.0);
  CHECK(pow(zero, 0.0).partial(0) == 0.0);
  CHECK(pow(zero, 1.0).partial(0) == 1.0);
  CHECK(pow(zero, 1.5).partial(0) == 0.0);
  CHECK(pow(D::variable(-2.0, 0), 3.0).partial(0) == 12.0);
}

TEST_CASE_TEMPLATE("each plain type keeps its own precision", P, float, double, long double) {
  using Number = Dual<P, 1>;
  const Number x = Number::variable(P(0.7), 0);
  const Number y = exp(sin(x)) / sqrt(x) + pow(x, P(2.5)) * log(x);
  const long double v = static_cast<long double>(P(0.7));
  // closed form, worked here by the product and quotient rules
  const long double slope = std::exp(std::sin(v)) * (std::cos(v) / std::sqrt(v) - 0.5L / (v * std::sqrt(v)))
                            + 2.5L * std::pow(v, 1.5L) * std::log(v) + std::pow(v, 1.5L);
  CHECK(relative_gap(y.partial(0), slope) < 20 * double(round_off<P>));
}

TEST_CASE("derivatives of constant expressions are constant expressions") {
  constexpr D x = D::variable(3.0, 0), y = D::variable(2.0, 1);
  static_assert((x * x / y).partial(0) == 3.0 && (x * x / y).partial(1) == -2.25 && (x - y).value() == 1.0);
  CHECK((x * y).partial(1) == 3.0);
}

TEST_CASE("a tube's ignition law takes any differentiator") {
  for (const double plate : {14.0, 20.0, 48.0, 300.0}) {
    CAPTURE(plate);
    const D ours = knee(D::variable(12.1, 0), D::variable(0.8, 1)).critical_grid(D(plate));
    const E theirs = knee(E(12.1, 2, 0), E(0.8, 2, 1)).critical_grid(E(plate));
    const auto plain = [&](double ionisation, double rise) { return knee(ionisation, rise).critical_grid(plate); };
    CHECK(ours.value() == plain(12.1, 0.8));
    for (int k = 0; k < 2; ++k) {
      CHECK(relative_gap(ours.partial(std::size_t(k)), theirs.derivatives()[k]) < 1e-14);
      CHECK(relative_gap(ours.partial(std::size_t(k)), central(plain, 12.1, 0.8, k)) < 1e-7);
    }
  }
}

TEST_CASE("a tube's electron current takes any differentiator, and its own slopes are its derivatives") {
  for (const double grid : {-1.0, -0.2, 0.0, 1.5}) {
    CAPTURE(grid);
    const D ours = electrons(D(3e-6), D(200.0))({D::variable(48.0, 0), D::variable(grid, 1), D(0.3)}, D(0.9)).current;
    const E theirs = electrons(E(3e-6), E(200.0))({E(48.0, 2, 0), E(grid, 2, 1), E(0.3)}, E(0.9)).current;
    const SlopedCurrent<double> plain = electrons(3e-6, 200.0)({48.0, grid, 0.3}, 0.9);
    CHECK(ours.value() == plain.current);
    for (int k = 0; k < 2; ++k)
      CHECK(std::abs(ours.partial(std::size_t(k)) - theirs.derivatives()[k])
            <= 1e-14 * std::abs(theirs.derivatives()[k]));
    CHECK(relative_gap(ours.partial(0), plain.by_plate) < 1e-14);
    CHECK(std::abs(ours.partial(1) - plain.by_grid) <= 1e-14 * plain.by_grid);
  }
}
