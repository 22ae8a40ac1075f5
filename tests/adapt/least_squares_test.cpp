// SPDX-License-Identifier: MIT
#include <gastube/adapt/least_squares.hpp>

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <array>
#include <random>
#include <vector>

using namespace gastube;
using namespace gastube::adapt;
using closeness::relative;

namespace {

struct Pair {
  double y, x;
};
// NIST Statistical Reference Datasets, "Norris" (linear, calibration of ozone monitors): data and certified values from
// memory; that these data give those values to 12 digits bears the memory out.
constexpr std::array<Pair, 36> norris{
    {{0.1, 0.2},     {338.8, 337.4}, {118.1, 118.2}, {888.0, 884.6}, {9.2, 10.1},    {228.1, 226.5},
     {668.5, 666.3}, {998.5, 996.3}, {449.1, 448.6}, {778.9, 777.0}, {559.2, 558.2}, {0.3, 0.4},
     {0.1, 0.6},     {778.1, 775.5}, {668.8, 666.9}, {339.3, 338.0}, {448.9, 447.5}, {10.8, 11.6},
     {557.7, 556.0}, {228.3, 228.1}, {998.0, 995.8}, {888.8, 887.6}, {119.6, 120.2}, {0.3, 0.3},
     {0.6, 0.3},     {557.6, 556.8}, {339.3, 339.1}, {888.0, 887.2}, {998.5, 999.0}, {778.9, 779.0},
     {10.2, 11.1},   {117.6, 118.3}, {228.9, 229.2}, {668.4, 669.1}, {449.2, 448.9}, {0.2, 0.5}}};
// The same source, "Misra1a" (nonlinear, y = b1 (1 - exp(-b2 x))), likewise from memory.
constexpr std::array<Pair, 14> misra{{{10.07, 77.6},
                                      {14.73, 114.9},
                                      {17.94, 141.1},
                                      {23.93, 190.8},
                                      {29.61, 239.9},
                                      {35.18, 289.0},
                                      {40.02, 332.8},
                                      {44.82, 378.4},
                                      {50.76, 434.8},
                                      {55.05, 477.3},
                                      {61.01, 536.8},
                                      {66.40, 593.1},
                                      {75.47, 689.1},
                                      {81.78, 760.0}}};

LeastSquares line_through(const std::vector<Pair>& points) {
  Eigen::MatrixXd design(Eigen::Index(points.size()), 2);
  Eigen::VectorXd measured(design.rows());
  for (Eigen::Index k = 0; k < design.rows(); ++k) {
    design(k, 0) = 1, design(k, 1) = points[std::size_t(k)].x;
    measured(k) = points[std::size_t(k)].y;
  }
  return linear_least_squares(design, measured);
}
// y = 2 + 3 x with noise of a given size.
std::vector<Pair> noisy_line(int count, double noise, std::mt19937_64& draw) {
  std::normal_distribution<double> normal(0.0, 1.0);
  std::vector<Pair> points;
  for (int k = 0; k < count; ++k) points.push_back({2.0 + 3.0 * k + noise * normal(draw), double(k)});
  return points;
}
Eigen::VectorXd straight_row(double x) { return Eigen::Vector2d(1.0, x); }

}  // namespace

TEST_CASE("the certified values of a linear reference data set are met to ten digits") {
  const LeastSquares fit = line_through({norris.begin(), norris.end()});
  CHECK(fit.parameters(0) == relative(-0.262323073774029).epsilon(1e-10));
  CHECK(fit.parameters(1) == relative(1.00211681802045).epsilon(1e-12));
  CHECK(fit.standard_error(0) == relative(0.232818234301152).epsilon(1e-10));
  CHECK(fit.standard_error(1) == relative(0.429796848199937e-3).epsilon(1e-10));
  CHECK(fit.scatter() == relative(0.884796396144373).epsilon(1e-10));
  CHECK(fit.degrees_of_freedom() == 34);
}
TEST_CASE("the certified values of a nonlinear reference data set are met from both published starts") {
  const auto model = [](const auto& b, auto& values, auto& jacobian) {
    for (Eigen::Index k = 0; k < values.size(); ++k) {
      const double x = misra[std::size_t(k)].x, left = std::exp(-b(1) * x);
      values(k) = b(0) * (1 - left);
      jacobian(k, 0) = 1 - left, jacobian(k, 1) = b(0) * x * left;
    }
  };
  Eigen::VectorXd measured(14);
  for (Eigen::Index k = 0; k < 14; ++k) measured(k) = misra[std::size_t(k)].y;
  for (const Eigen::Vector2d& start : {Eigen::Vector2d(500, 1e-4), Eigen::Vector2d(250, 5e-4)}) {
    const LeastSquares fit = nonlinear_least_squares(model, start, measured);
    CHECK(fit.parameters(0) == relative(2.3894212918e2).epsilon(1e-8));
    CHECK(fit.parameters(1) == relative(5.5015643181e-4).epsilon(1e-8));
    CHECK(fit.standard_error(0) == relative(2.7070075241).epsilon(1e-7));
    CHECK(fit.standard_error(1) == relative(7.2668688436e-6).epsilon(1e-7));
    CHECK(fit.sum_of_squares() == relative(1.2455138894e-1).epsilon(1e-8));
    CHECK(fit.scatter() == relative(1.0187876330e-1).epsilon(1e-8));
  }
}
TEST_CASE("points on a line give the line itself, and no scatter") {
  std::mt19937_64 draw(1);
  const LeastSquares fit = line_through(noisy_line(6, 0.0, draw));
  CHECK(closeness::absolute_gap(fit.parameters(0), 2.0) < 1e-13);
  CHECK(closeness::absolute_gap(fit.parameters(1), 3.0) < 1e-13);
  CHECK(fit.scatter() < 1e-13);
  CHECK(fit.leverages.sum() == relative(2.0).epsilon(1e-12));  // trace of a projection: the number of parameters
}
TEST_CASE("an exponent of points in wildly different units is solved as well") {
  std::vector<Pair> points;
  for (int k = 0; k < 8; ++k) points.push_back({4e-9 + 2e-3 * (k * 1e-6), k * 1e-6});
  const LeastSquares fit = line_through(points);
  CHECK(fit.determined());
  CHECK(fit.parameters(0) == relative(4e-9).epsilon(1e-9));
  CHECK(fit.parameters(1) == relative(2e-3).epsilon(1e-9));
}
TEST_CASE("points at one place do not determine a slope, and no points determine nothing") {
  const LeastSquares stack = line_through({{1, 5}, {2, 5}, {3, 5}});
  CHECK(stack.rank == 1);
  CHECK_FALSE(stack.determined());
  CHECK(line_through({}).rank == 0);
  CHECK(line_through({{1, 2}}).rank == 1);
}
TEST_CASE("values that are no numbers are refused") {
  CHECK_THROWS_AS((void)line_through({{1, 2}, {std::nan(""), 3}}), InvalidRequest);
  CHECK_THROWS_AS((void)linear_least_squares(Eigen::MatrixXd::Ones(3, 1), Eigen::VectorXd::Ones(2)), InvalidRequest);
}
TEST_CASE("without degrees of freedom the scatter is unlimited, not nothing") {
  CHECK_FALSE(is_limited(line_through({{1, 2}, {2, 3}}).scatter()));
}
TEST_CASE("Student's factors are those of the tables") {
  // R. A. Fisher's table of t, from memory.
  CHECK(student_factor(1) == relative(12.706).epsilon(1e-4));
  CHECK(student_factor(2) == relative(4.303).epsilon(1e-4));
  CHECK(student_factor(3) == relative(3.182).epsilon(2e-4));
  CHECK(student_factor(10) == relative(2.228).epsilon(2e-4));
  CHECK(student_factor(30) == relative(2.042).epsilon(3e-4));
  CHECK(student_factor(5, 0.99) == relative(4.032).epsilon(2e-4));
  CHECK(student_factor(100000) == relative(1.95996).epsilon(1e-4));  // the normal distribution's
  CHECK_THROWS_AS((void)student_factor(0), InvalidParameter);
  CHECK_THROWS_AS((void)student_factor(3, 1.0), InvalidParameter);
}
TEST_CASE("a probability and its factor are each other's inverse") {
  for (int degrees = 1; degrees < 12; ++degrees)
    for (const double p : {0.1, 0.5, 0.95, 0.999})
      CHECK(student_probability(student_factor(degrees, p), degrees) == relative(p).epsilon(1e-10));
}
TEST_CASE("a point far from what the others say is told, with its distance") {
  std::mt19937_64 draw(2);
  auto points = noisy_line(9, 0.1, draw);
  CHECK_FALSE(outlier_in(line_through(points), 0.0));
  points[6].y += 2.0;
  const auto outlier = outlier_in(line_through(points), 0.0);
  REQUIRE(outlier);
  CHECK(outlier->point == 6);
  CHECK(closeness::absolute_gap(outlier->distance, 2.0) < 0.4);
  CHECK(outlier->scatters > 8.0);
}
TEST_CASE("an outlier's distance and scatters are those of a fit without it") {
  std::mt19937_64 draw(3);
  auto points = noisy_line(9, 0.1, draw);
  points[1].y -= 3.0;
  const auto outlier = outlier_in(line_through(points), 0.0);
  REQUIRE(outlier);
  REQUIRE(outlier->point == 1);
  auto others = points;
  others.erase(others.begin() + 1);
  const LeastSquares without = line_through(others);
  const Eigen::VectorXd row = straight_row(points[1].x);
  const double distance = points[1].y - without.parameters.dot(row);
  const double spread = without.scatter() * std::sqrt(1 + row.dot(without.unit_covariance * row));
  CHECK(outlier->distance == relative(distance).epsilon(1e-10));
  CHECK(outlier->scatters == relative(std::abs(distance) / spread).epsilon(1e-10));
}
TEST_CASE("round-off is no outlier, and what scatters by chance is one in a thousand fits at most") {
  std::mt19937_64 draw(20261125);
  CHECK_FALSE(outlier_in(line_through(noisy_line(9, 1e-16, draw)), 1e-9));
  int alarms = 0;
  for (int k = 0; k < 3000; ++k) alarms += outlier_in(line_through(noisy_line(7, 1.0, draw)), 0.0) ? 1 : 0;
  CAPTURE(alarms);
  CHECK(alarms <= 10);  // 3 expected; a Poisson count exceeds 10 once in 3000 times
  CHECK_FALSE(outlier_in(line_through({{1, 0}, {5, 1}, {1, 2}}), 0.0));  // three points cannot tell which is wrong
}
TEST_CASE("standard errors are the scatter of the estimates, and the interval holds the truth as often as it says") {
  std::mt19937_64 draw(7);
  double sum = 0, squares = 0, stated = 0;
  int held = 0;
  constexpr int draws = 2000;
  for (int k = 0; k < draws; ++k) {
    const LeastSquares fit = line_through(noisy_line(6, 0.3, draw));
    const double off = fit.parameters(1) - 3.0;
    sum += off, squares += off * off, stated += fit.standard_error(1) * fit.standard_error(1);
    held += std::abs(off) < student_factor(4) * fit.standard_error(1) ? 1 : 0;
  }
  CAPTURE(held);
  CHECK(std::abs(std::sqrt(squares / stated) - 1) < 0.08);
  CHECK(std::abs(sum / draws) < 4 * std::sqrt(squares) / draws);
  CHECK(std::abs(held / double(draws) - 0.95) < 0.02);  // four standard deviations of the share
}
TEST_CASE("the next point is where it shrinks the parameter's error most, by as much as it says") {
  const std::vector<double> candidates{0.0, 1.0, 2.5, 4.0, 8.0};
  const auto covariance = [](const std::vector<double>& at) {
    std::vector<Pair> points;
    for (const double x : at) points.push_back({0, x});
    return line_through(points).unit_covariance;
  };
  const Eigen::MatrixXd now = covariance({1, 2, 3});
  const NextPoint slope = next_point(now, 1, candidates, straight_row);
  CHECK(slope.at == 8.0);
  const Eigen::MatrixXd then = covariance({1, 2, 3, 8});
  CHECK(slope.shrinkage == relative(std::sqrt(then(1, 1) / now(1, 1))).epsilon(1e-12));
  double best = 2;
  for (const double x : candidates) best = std::min(best, std::sqrt(covariance({1, 2, 3, x})(0, 0) / now(0, 0)));
  CHECK(next_point(now, 0, candidates, straight_row).shrinkage == relative(best).epsilon(1e-12));
}
TEST_CASE("a prior stands in for points that are missing, and gives way to them") {
  const Eigen::VectorXd prior = Eigen::Vector2d(2.0, 5.0);
  const Eigen::MatrixXd none = covariance_with_prior(Eigen::MatrixXd(0, 2), prior);
  CHECK(none(0, 0) == relative(4.0).epsilon(1e-12));
  CHECK(none(1, 1) == relative(25.0).epsilon(1e-12));
  Eigen::MatrixXd rows(1, 2);
  rows << 1, 0;
  CHECK(covariance_with_prior(rows, prior)(0, 0) == relative(1 / (1 + 0.25)).epsilon(1e-12));
}
