// SPDX-License-Identifier: MIT
#pragma once
/// Least squares with what belongs to it: standard errors, leverages, outliers, and where to measure next.
/// Includes Eigen's QR, which costs seconds of compile time: opt-in, for programs that fit measured data.

#include "gastube/support/checked.hpp"
#include "gastube/support/root.hpp"

#include <Eigen/QR>

#include <cmath>
#include <cstddef>
#include <numbers>
#include <optional>

namespace gastube::adapt {

/// Parameters that minimise the sum of squared residuals, and what the scatter says of them.
struct LeastSquares {
  Eigen::VectorXd parameters;
  Eigen::VectorXd residuals;        ///< measured less fitted
  Eigen::MatrixXd unit_covariance;  ///< of the parameters, for a scatter of 1; empty if they are not determined
  Eigen::VectorXd leverages;        ///< weight of each point in its own fitted value, 0 to 1
  Eigen::Index rank = 0;            ///< number of parameters that the points determine

  [[nodiscard]] bool determined() const { return rank == parameters.size(); }
  [[nodiscard]] int degrees_of_freedom() const { return int(residuals.size() - parameters.size()); }
  [[nodiscard]] double sum_of_squares() const { return residuals.squaredNorm(); }
  /// Standard deviation of a single point about the fit; unlimited without degrees of freedom.
  [[nodiscard]] double scatter() const {
    return degrees_of_freedom() > 0 ? std::sqrt(sum_of_squares() / degrees_of_freedom()) : unlimited<double>();
  }
  [[nodiscard]] Eigen::MatrixXd covariance() const { return scatter() * scatter() * unit_covariance; }
  [[nodiscard]] double standard_error(Eigen::Index parameter) const {
    return scatter() * std::sqrt(unit_covariance(parameter, parameter));
  }
};

namespace detail {
/// Q^T b of a decomposition: by its reflectors one by one, since Eigen's blocked product costs 3 s of compile time.
[[nodiscard]] inline Eigen::VectorXd rotated(const Eigen::ColPivHouseholderQR<Eigen::MatrixXd>& qr, Eigen::VectorXd b) {
  for (Eigen::Index k = 0; k < qr.hCoeffs().size(); ++k) {
    const Eigen::Index below = b.size() - k - 1;
    const double along = b(k) + qr.matrixQR().col(k).tail(below).dot(b.tail(below));
    b(k) -= qr.hCoeffs()(k) * along;
    b.tail(below) -= qr.hCoeffs()(k) * along * qr.matrixQR().col(k).tail(below);
  }
  return b;
}
}  // namespace detail

/// Solves design * parameters = measured in the sense of least squares, by Householder QR with column pivoting of the
/// columns scaled to length 1. Where the points do not determine the parameters, these are 0.
/// @param design  one row for each point, one column for each parameter
/// @throws InvalidRequest if the two differ in rows, or a number is not finite
[[nodiscard]] inline LeastSquares linear_least_squares(const Eigen::MatrixXd& design, const Eigen::VectorXd& measured) {
  if (design.rows() != measured.size() || !design.allFinite() || !measured.allFinite())
    gastube::detail::raise(InvalidRequest("least squares: as many finite measured values as rows are needed"));
  const Eigen::Index count = design.cols();
  LeastSquares fit;
  fit.parameters = Eigen::VectorXd::Zero(count);
  fit.residuals = measured;
  if (design.rows() == 0) return fit;
  Eigen::VectorXd scale = design.colwise().norm();
  for (double& s : scale) s = s > 0 ? 1 / s : 1.0;
  Eigen::ColPivHouseholderQR<Eigen::MatrixXd> qr(design.rows(), count);
  qr.setThreshold(1e-11);
  qr.compute(design * scale.asDiagonal());
  fit.rank = qr.rank();
  if (!fit.determined()) return fit;
  Eigen::MatrixXd inverse = Eigen::MatrixXd::Identity(count, count);
  qr.matrixQR().topRows(count).triangularView<Eigen::Upper>().solveInPlace(inverse);
  const Eigen::MatrixXd spread = scale.asDiagonal() * (qr.colsPermutation() * inverse);
  // Twice: the second round, on what is left, takes away the round-off of ill-conditioned designs.
  for (int round = 0; round < 2; ++round) {
    fit.parameters += spread * detail::rotated(qr, fit.residuals).head(count);
    fit.residuals = measured - design * fit.parameters;
  }
  fit.unit_covariance = spread.lazyProduct(spread.transpose());
  fit.leverages = design.lazyProduct(spread).rowwise().squaredNorm();
  return fit;
}

/// Fits a nonlinear model by Levenberg's and Marquardt's damped Gauss-Newton steps.
/// @param model  model(parameters, values, jacobian) fills one value and one row of derivatives for each point
/// @return rank below the number of parameters if the model does not depend on all of them at the end
template <class Model>
[[nodiscard]] LeastSquares nonlinear_least_squares(Model&& model, Eigen::VectorXd parameters,
                                                   const Eigen::VectorXd& measured) {
  const Eigen::Index points = measured.size(), count = parameters.size();
  Eigen::VectorXd values(points), tried_values(points);
  Eigen::MatrixXd jacobian(points, count), tried_jacobian(points, count);
  model(parameters, values, jacobian);
  double damping = 1e-3;
  for (int k = 0; k < 200 && damping < 1e12; ++k) {
    Eigen::MatrixXd damped(points + count, count);
    damped << jacobian, Eigen::MatrixXd((std::sqrt(damping) * jacobian.colwise().norm()).asDiagonal());
    Eigen::VectorXd goal = Eigen::VectorXd::Zero(points + count);
    goal.head(points) = measured - values;
    const Eigen::VectorXd step = linear_least_squares(damped, goal).parameters, tried = parameters + step;
    model(tried, tried_values, tried_jacobian);
    if (!((measured - tried_values).squaredNorm() < (measured - values).squaredNorm())) {
      damping *= 10;
      continue;
    }
    parameters = tried, values = tried_values, jacobian = tried_jacobian;
    damping = math::max(damping / 10, 1e-18);
  }
  LeastSquares fit = linear_least_squares(jacobian, measured - values);
  fit.parameters = parameters;
  fit.residuals = measured - values;
  return fit;
}

/// Probability that Student's t lies between -t and t. M. Abramowitz and I. A. Stegun, Handbook of Mathematical
/// Functions (1964), 26.7.3 and 26.7.4, from memory. @param t at least 0; @param degrees at least 1
[[nodiscard]] inline double student_probability(double t, int degrees) {
  const double angle = std::atan(t / std::sqrt(double(degrees))), cosine = std::cos(angle);
  const bool odd = degrees % 2 != 0;
  double term = odd ? cosine : 1.0, sum = degrees > 1 ? term : 0.0;
  for (int k = odd ? 3 : 2; k < degrees; k += 2) {
    term *= cosine * cosine * (k - 1) / k;
    sum += term;
  }
  const double share = std::sin(angle) * sum;
  return odd ? 2 / std::numbers::pi * (angle + share) : share;
}

/// What to multiply a standard error by for an interval that holds the truth with this probability.
/// @param probability above 0, below 1; @param degrees of freedom, at least 1
[[nodiscard]] inline double student_factor(int degrees, double probability = 0.95) {
  Check{"Student's factor"}
      .above("degrees of freedom", double(degrees), 0.0, "")
      .between("probability", probability, 1e-9, 1 - 1e-9, "");
  const double root = std::sqrt(double(degrees));
  const auto missing = [&](double angle) { return probability - student_probability(root * std::tan(angle), degrees); };
  return root * std::tan(find_root(missing, 0.0, std::numbers::pi / 2 - 1e-12, 1e-15));
}

/// A point that the other points do not bear out.
struct Outlier {
  std::size_t point;  ///< its index
  double distance;    ///< measured less what the others predict
  double scatters;    ///< |distance| over the standard deviation of such a prediction, by the others alone
};

/// The worst point, if chance would put one so far out in less than one of a thousand fits.
/// @param resolution  standard deviation below which no scatter is believed
[[nodiscard]] inline std::optional<Outlier> outlier_in(const LeastSquares& fit, double resolution) {
  const int degrees = fit.degrees_of_freedom() - 1;
  if (degrees < 1 || !fit.determined()) return std::nullopt;
  std::optional<Outlier> worst;
  for (Eigen::Index k = 0; k < fit.residuals.size(); ++k) {
    const double own = 1 - fit.leverages(k), r = fit.residuals(k);
    if (own < 1e-9) continue;  // the only point that tells one parameter
    const double others = math::max((fit.sum_of_squares() - r * r / own) / degrees, resolution * resolution);
    const double scatters = std::abs(r) / std::sqrt(others * own);
    if (!worst || scatters > worst->scatters) worst = Outlier{std::size_t(k), r / own, scatters};
  }
  if (worst && (1 - student_probability(worst->scatters, degrees)) * double(fit.residuals.size()) < 1e-3) return worst;
  return std::nullopt;
}

/// Where one more point tells most.
struct NextPoint {
  double at;         ///< abscissa of the candidate
  double shrinkage;  ///< the parameter's standard error then, as a share of that now
};

/// Of `candidates`, the one that shrinks the standard error of a parameter most.
/// @param covariance  of the parameters for a scatter of 1; @param row  row(abscissa), the point's row of the design
template <class Candidates, class Row>
[[nodiscard]] NextPoint next_point(const Eigen::MatrixXd& covariance, std::size_t parameter,
                                   const Candidates& candidates, Row&& row) {
  const auto k = Eigen::Index(parameter);
  NextPoint best{0, 2};
  for (const double at : candidates) {
    const Eigen::VectorXd x = row(at), told = covariance * x;
    const double share = told(k) * told(k) / (1 + x.dot(told)) / covariance(k, k);
    const double shrinkage = std::sqrt(math::max(1 - share, 0.0));
    if (shrinkage < best.shrinkage) best = {at, shrinkage};
  }
  return best;
}

/// Covariance for a scatter of 1 where the points alone may not determine the parameters: with what is known before.
/// @param prior  standard error of each parameter before any measurement, in units of the scatter
[[nodiscard]] inline Eigen::MatrixXd covariance_with_prior(const Eigen::MatrixXd& design,
                                                           const Eigen::VectorXd& prior) {
  Eigen::MatrixXd rows(design.rows() + prior.size(), prior.size());
  rows << design, Eigen::MatrixXd(prior.cwiseInverse().asDiagonal());
  return linear_least_squares(rows, Eigen::VectorXd::Zero(rows.rows())).unit_covariance;
}

}  // namespace gastube::adapt
