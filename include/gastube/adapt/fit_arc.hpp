// SPDX-License-Identifier: MIT
#pragma once
/// The arc drop of a tube of one's own, from measured currents and drops.

#include "gastube/adapt/fit.hpp"
#include "gastube/tube/arc/arc_drop.hpp"

#include <span>

namespace gastube::adapt {

struct ArcPoint {
  double current;  ///< A through the lit tube
  double drop;     ///< V, plate against cathode
};

/// How well the result has to be known, and where one may measure.
struct ArcFitOptions {
  double reading = 0.05;        ///< V, standard error of one reading of the drop: contradictions are judged by it
  double greatest_share = 0.1;  ///< greatest 95 % uncertainty of the drop, at no and at the highest current, as a share
  double lowest_current = 0.01;  ///< A, that may be advised to measure at; above the sustaining current
  double highest_current = 0.1;  ///< A, likewise; within the rating

  void check() const {
    Check{"arc fit"}
        .above("reading", reading, 0.0, "V")
        .above("greatest_share", greatest_share, 0.0, "")
        .above("lowest_current", lowest_current, 0.0, "A")
        .above("highest_current", highest_current, lowest_current, "A");
  }
};

/// Ayrton's falling characteristic. Parameters in order: asymptote (V), power (W).
struct FallingArcFit : FitReport {
  FallingDrop<double> law{};
  double advantage = 0;  ///< by which Akaike's criterion is less than the straight line's

  /// Half of the 95 % interval for the next drop at this current, V. @param current A, within those measured
  [[nodiscard]] double half_width(double current) const { return half_band(Eigen::Vector2d(1.0, 1 / current)); }
};

/// The straight line. Parameters in order: drop at zero current (V), resistance (ohm).
struct ArcFit : FitReport {
  LinearDrop<double> law{};
  /// There if a falling characteristic fits clearly better: by more than 6 in Akaike's criterion, odds of 20 to 1. Both
  /// have two parameters and neither holds the other, so that an F-test has no say.
  std::optional<FallingArcFit> falling{};

  /// Half of the 95 % interval for the next drop at this current, V.
  [[nodiscard]] double half_width(double current) const { return half_band(Eigen::Vector2d(1.0, current)); }
};

namespace detail {
class ArcFitter {
 public:
  ArcFitter(std::span<const ArcPoint> points, const ArcFitOptions& options) : points_(points), options_(options) {
    options.check();
    low_ = options.lowest_current, high_ = options.highest_current;
    for (const ArcPoint& p : points) low_ = math::min(low_, p.current), high_ = math::max(high_, p.current);
  }

  [[nodiscard]] ArcFit fit() const {
    refuse_impossible_points();
    refuse_too_few_points();
    const LeastSquares line = solve(straight);
    if (!line.determined()) refuse_undetermined("all points lie at one current");
    const LeastSquares bent = solve(falling);
    const double gain = advantage(line, bent);
    const bool falls = gain > 6 && bent.parameters(0) > 0 && bent.parameters(1) > 0;
    refuse_outlier(falls ? bent : line, options_.reading, "V");
    if (!falls) refuse_uncertain(line);
    ArcFit result = report(line);
    if (falls) result.falling = report_falling(bent, gain);
    return result;
  }

 private:
  using Row = Eigen::VectorXd (*)(double);
  static Eigen::VectorXd straight(double current) { return Eigen::Vector2d(1.0, current); }
  static Eigen::VectorXd falling(double current) { return Eigen::Vector2d(1.0, 1 / current); }

  [[nodiscard]] Eigen::MatrixXd design(Row row) const {
    Eigen::MatrixXd rows(Eigen::Index(points_.size()), 2);
    for (std::size_t k = 0; k < points_.size(); ++k) rows.row(Eigen::Index(k)) = row(points_[k].current).transpose();
    return rows;
  }
  [[nodiscard]] Eigen::VectorXd measured() const {
    Eigen::VectorXd drops(Eigen::Index(points_.size()));
    for (std::size_t k = 0; k < points_.size(); ++k) drops(Eigen::Index(k)) = points_[k].drop;
    return drops;
  }
  [[nodiscard]] LeastSquares solve(Row row) const { return linear_least_squares(design(row), measured()); }
  // Akaike's criterion of the line less that of the falling law; what both have in common drops out.
  [[nodiscard]] double advantage(const LeastSquares& line, const LeastSquares& bent) const {
    const double count = double(points_.size()), least = count * resolution_of(measured()) * resolution_of(measured());
    return count * std::log((line.sum_of_squares() + least) / (bent.sum_of_squares() + least));
  }

  void refuse_impossible_points() const {
    for (std::size_t k = 0; k < points_.size(); ++k) {
      const ArcPoint& p = points_[k];
      if (!std::isfinite(p.current) || !std::isfinite(p.drop) || !(p.current > 0) || !(p.drop > 0))
        refuse(text("arc point %zu: current and drop of a lit tube are above 0: measure it again", k + 1));
    }
  }
  void refuse_too_few_points() const {
    const std::size_t count = points_.size();
    if (count < 3)
      refuse_undetermined(text("%zu arc point%s, at least 3 are needed", count, count == 1 ? "" : "s").c_str());
  }
  // Before anything is measured: a drop of some 20 V, in units of a tenth of a volt, that may change by half of it.
  [[noreturn]] void refuse_undetermined(const char* why) const {
    const Eigen::VectorXd prior = Eigen::Vector2d(200.0, 100.0 / high_);
    const Eigen::MatrixXd covariance = covariance_with_prior(design(straight), prior);
    const double at = next(covariance, least_told(covariance, prior)).at;
    refuse(text("%s: measure one near %s", why, quantity_text(at, "A", 2).c_str()));
  }
  [[nodiscard]] NextPoint next(const Eigen::MatrixXd& covariance, std::size_t parameter) const {
    return next_point(covariance, parameter, ratios_between(low_, high_), straight);
  }

  [[nodiscard]] std::vector<Demand> demands(const LeastSquares& line) const {
    const double factor = student_factor(line.degrees_of_freedom());
    const double allowed = options_.greatest_share * line.parameters(0);
    return {{0, factor * line.standard_error(0), allowed}, {1, factor * line.standard_error(1), allowed / high_}};
  }
  void refuse_uncertain(const LeastSquares& line) const {
    const Demand worst = worst_of(demands(line));
    if (!(worst.excess() > 1)) return;
    const NextPoint best = next(line.unit_covariance, worst.parameter);
    const char* name = worst.parameter == 0 ? "drop at zero current" : "resistance";
    const char* unit = worst.parameter == 0 ? "V" : "ohm";
    refuse(text("%s: the %s is known to %s only; measure near %s, which would make it about %s", span_text().c_str(),
                name, quantity_text(worst.interval, unit, 2).c_str(), quantity_text(best.at, "A", 2).c_str(),
                quantity_text(worst.interval * best.shrinkage, unit, 2).c_str()));
  }
  [[nodiscard]] std::string span_text() const {
    double low = points_[0].current, high = low;
    for (const ArcPoint& p : points_) low = math::min(low, p.current), high = math::max(high, p.current);
    return text("all points lie between %s and %s", quantity_text(low, "A").c_str(), quantity_text(high, "A").c_str());
  }

  [[nodiscard]] ArcFit report(const LeastSquares& line) const {
    ArcFit result{report_on(line, Eigen::MatrixXd::Identity(2, 2))};
    result.law = {line.parameters(0), line.parameters(1)};
    add_parameter(result, "drop at zero current", line.parameters(0), "V");
    add_parameter(result, "resistance", line.parameters(1), "ohm");
    const std::size_t worst = worst_of(demands(line)).parameter;
    result.next = {result.parameters[worst].name, next(line.unit_covariance, worst).at, {}};
    result.next.text = "measure near " + quantity_text(result.next.at, "A", 2);
    result.law.check();
    return result;
  }
  [[nodiscard]] FallingArcFit report_falling(const LeastSquares& bent, double gain) const {
    FallingArcFit result{report_on(bent, Eigen::MatrixXd::Identity(2, 2))};
    double least = points_[0].current;
    for (const ArcPoint& p : points_) least = math::min(least, p.current);
    result.law = {bent.parameters(0), bent.parameters(1), least};
    result.advantage = gain;
    add_parameter(result, "asymptote", bent.parameters(0), "V");
    add_parameter(result, "power", bent.parameters(1), "W");
    const auto best = next_point(bent.unit_covariance, 1, ratios_between(low_, high_), falling);
    result.next = {"power", best.at, "measure near " + quantity_text(best.at, "A", 2)};
    return result;
  }

  std::span<const ArcPoint> points_;
  ArcFitOptions options_;
  double low_ = 0, high_ = 0;
};
}  // namespace detail

/// Fits the straight line, and the falling characteristic where that fits clearly better.
/// @throws InvalidRequest for points that contradict each other or leave a parameter open, saying what to measure next
[[nodiscard]] inline ArcFit fit_arc(std::span<const ArcPoint> points, const ArcFitOptions& options = {}) {
  return detail::ArcFitter(points, options).fit();
}

}  // namespace gastube::adapt
