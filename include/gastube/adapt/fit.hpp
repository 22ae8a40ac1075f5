// SPDX-License-Identifier: MIT
#pragma once
/// What every fit of a tube's law to measured points reports.

#include "gastube/adapt/least_squares.hpp"
#include "gastube/adapt/quantity_text.hpp"

#include <string>
#include <vector>

namespace gastube::adapt {

/// A parameter of a fitted law.
struct FittedParameter {
  const char* name;
  double value;
  double uncertainty;  ///< standard error, in the parameter's unit
  const char* unit;
};

/// The measurement that would tell most about the parameter known worst.
struct Advice {
  std::string parameter{};  ///< its name
  double at = 0;            ///< where to measure, in the unit of the abscissa
  std::string text{};       ///< "measure near 300 V of plate"
};

/// A fit. The uncertainties come from the scatter of the points alone: an error that all readings share (a meter's, or
/// the contact potential of one day) is not in them.
struct FitReport {
  std::vector<FittedParameter> parameters{};
  Eigen::MatrixXd covariance{};     ///< of the parameters, in their order and units
  std::vector<double> residuals{};  ///< measured less fitted, in the order of the points
  double scatter = 0;               ///< standard deviation of a point about the law
  int degrees_of_freedom = 0;
  double factor = 0;  ///< Student's, from standard error to 95 % interval
  Advice next{};

  /// Standard error of the law's value, from the derivatives of that value with respect to the parameters.
  [[nodiscard]] double standard_error(const Eigen::VectorXd& slopes) const {
    return std::sqrt(math::max(slopes.dot(covariance * slopes), 0.0));
  }
  /// Half of the interval that holds the next single point with 95 %.
  [[nodiscard]] double half_band(const Eigen::VectorXd& slopes) const {
    return factor * std::hypot(scatter, standard_error(slopes));
  }
};

namespace detail {
[[noreturn]] inline void refuse(const std::string& why) { gastube::detail::raise(InvalidRequest(why)); }

/// `count` abscissas in equal ratios.
[[nodiscard]] inline std::vector<double> ratios_between(double low, double high, int count = 80) {
  std::vector<double> result;
  result.reserve(std::size_t(count));
  for (int k = 0; k < count; ++k) result.push_back(low * std::pow(high / low, double(k) / (count - 1)));
  return result;
}

/// How well a parameter has to be known: its 95 % interval against what is allowed.
struct Demand {
  std::size_t parameter;
  double interval;  ///< half of the 95 % interval, in any unit
  double allowed;   ///< in the same unit
  [[nodiscard]] double excess() const { return allowed > 0 ? interval / allowed : unlimited<double>(); }
};
[[nodiscard]] inline const Demand& worst_of(const std::vector<Demand>& demands) {
  const Demand* worst = demands.data();
  for (const Demand& d : demands)
    if (d.excess() > worst->excess()) worst = &d;
  return *worst;
}

/// Of parameters that are not determined yet, the one least told by the points: greatest share of its prior left.
[[nodiscard]] inline std::size_t least_told(const Eigen::MatrixXd& covariance, const Eigen::VectorXd& prior) {
  Eigen::Index worst = 0;
  covariance.diagonal().cwiseQuotient(prior.cwiseAbs2()).maxCoeff(&worst);
  return std::size_t(worst);
}

/// What round-off leaves in the measured values.
[[nodiscard]] inline double resolution_of(const Eigen::VectorXd& measured) {
  return 1e-10 * math::max(measured.cwiseAbs().maxCoeff(), 1e-30);
}

/// Fills in what does not depend on the law. @param to_units derivative of each reported parameter by the fitted ones
[[nodiscard]] inline FitReport report_on(const LeastSquares& fit, const Eigen::MatrixXd& to_units) {
  FitReport report;
  report.covariance = to_units.lazyProduct(fit.covariance()).eval().lazyProduct(to_units.transpose());
  report.residuals.assign(fit.residuals.begin(), fit.residuals.end());
  report.scatter = fit.scatter();
  report.degrees_of_freedom = fit.degrees_of_freedom();
  report.factor = student_factor(fit.degrees_of_freedom());
  return report;
}
inline void add_parameter(FitReport& report, const char* name, double value, const char* unit) {
  const auto k = Eigen::Index(report.parameters.size());
  report.parameters.push_back({name, value, std::sqrt(report.covariance(k, k)), unit});
}

/// @param reading  standard error of one reading: chance alone may make the points scatter less than they can be read
inline void refuse_outlier(const LeastSquares& fit, double reading, const char* unit) {
  const auto outlier = outlier_in(fit, reading);
  if (!outlier) return;
  const std::string times = outlier->scatters > 100 ? "more than 100" : text("%.0f", outlier->scatters);
  refuse(text("point %zu lies %s from where the other points put it, %s times their scatter: measure it again",
              outlier->point + 1, quantity_text(outlier->distance, unit, 2).c_str(), times.c_str()));
}
}  // namespace detail

}  // namespace gastube::adapt
