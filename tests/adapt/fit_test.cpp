// SPDX-License-Identifier: MIT
#include <gastube/adapt/fit.hpp>

#include "adapt/fits_for_tests.hpp"
#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

using namespace gastube;
using namespace gastube::adapt;
using closeness::relative;
using fits_for_tests::refusal_of;

namespace {
LeastSquares mean_of(const Eigen::VectorXd& values) {
  return linear_least_squares(Eigen::MatrixXd::Ones(values.size(), 1), values);
}
}  // namespace

TEST_CASE("a report carries the scatter over into the parameters' units") {
  const LeastSquares mean = mean_of(Eigen::Vector4d(1, 2, 3, 4));
  FitReport report = adapt::detail::report_on(mean, Eigen::MatrixXd::Constant(1, 1, 10.0));
  adapt::detail::add_parameter(report, "mean", 25.0, "mV");
  CHECK(report.scatter == relative(std::sqrt(5.0 / 3.0)));
  CHECK(report.parameters[0].uncertainty == relative(10 * std::sqrt(5.0 / 12.0)));
  CHECK(report.degrees_of_freedom == 3);
  CHECK(report.factor == relative(student_factor(3)));
  CHECK(report.residuals == std::vector<double>{-1.5, -0.5, 0.5, 1.5});
  const Eigen::VectorXd slope = Eigen::VectorXd::Constant(1, 0.1);
  CHECK(report.standard_error(slope) == relative(std::sqrt(5.0 / 12.0)));
  CHECK(report.half_band(slope) == relative(student_factor(3) * std::sqrt(5.0 / 3.0 + 5.0 / 12.0)));
}
TEST_CASE("the worst demand is the one farthest above what it allows; one that allows nothing is worst of all") {
  CHECK(adapt::detail::worst_of({{0, 1.0, 2.0}, {1, 3.0, 4.0}, {2, 0.1, 1.0}}).parameter == 1);
  CHECK(adapt::detail::worst_of({{0, 1.0, -2.0}, {1, 3.0, 0.1}}).parameter == 0);
}
TEST_CASE("the least told parameter is the one that keeps most of its prior") {
  const Eigen::VectorXd prior = Eigen::Vector2d(10.0, 1.0);
  Eigen::MatrixXd covariance = Eigen::Vector2d(25.0, 0.5).asDiagonal();
  CHECK(adapt::detail::least_told(covariance, prior) == 1);
  covariance(1, 1) = 0.1;
  CHECK(adapt::detail::least_told(covariance, prior) == 0);
}
TEST_CASE("an outlier is refused by its number, counted from one, and a small scatter is not taken for nothing") {
  Eigen::VectorXd values(6);
  values << 1, 1, 1, 1, 1.5, 1;
  CHECK(
      refusal_of([&] { adapt::detail::refuse_outlier(mean_of(values), 1e-9, "V"); })
      == "point 5 lies 500 mV from where the other points put it, more than 100 times their scatter: measure it again");
  CHECK(refusal_of([&] { adapt::detail::refuse_outlier(mean_of(values), 0.3, "V"); }) == "accepted");
}
TEST_CASE("abscissas in equal ratios reach from end to end") {
  const auto at = adapt::detail::ratios_between(0.01, 10.0, 4);
  REQUIRE(at.size() == 4);
  CHECK(at[0] == relative(0.01));
  CHECK(at[1] == relative(0.1));
  CHECK(at[3] == relative(10.0));
}
