// SPDX-License-Identifier: MIT
#pragma once
/// The ignition characteristic of a tube of one's own, from measured firing points.
///
///   const std::vector<IgnitionPoint> points{{300, -3.1}, {150, -2.4}, ...};
///   const IgnitionFit fit = fit_ignition(points, gas::xenon);
///   fit.law.critical_grid(48.0);
///
/// Firing points are taken at high plate voltage: keep a series resistor in the plate lead, switch off and discharge
/// before touching anything, and follow local rules.

#include "gastube/adapt/fit.hpp"
#include "gastube/gas/species.hpp"
#include "gastube/tube/ignition/ignition.hpp"

#include <algorithm>
#include <span>

namespace gastube::adapt {

/// One firing: the plate stood at `plate` when the tube fired as the grid rose to `grid`.
struct IgnitionPoint {
  double plate;  ///< V
  double grid;   ///< V against the cathode
};

/// What is known beforehand, and how well the result has to be known.
struct IgnitionFitOptions {
  double reading = 0.05;          ///< V, standard error of one grid reading: contradictions are judged by it
  double greatest_share = 0.3;    ///< greatest 95 % uncertainty of the control ratio, as a share of it
  double greatest_rise = 0.5;     ///< V, greatest 95 % uncertainty of the knee's rise
  double highest_plate = 300;     ///< V, that may be advised to measure at
  double reference_plate = 50.0;  ///< V, at which the knee's rise is stated

  void check(const Gas& fill) const {
    const double least = fill.ionisation.value;
    Check{"ignition fit"}
        .above("reading", reading, 0.0, "V")
        .above("greatest_share", greatest_share, 0.0, "")
        .above("greatest_rise", greatest_rise, 0.0, "V")
        .above("highest_plate", highest_plate, least + 10, "V")
        .above("reference_plate", reference_plate, least, "V");
  }
};

/// Control line with knee. Parameters in order: control ratio, intercept (V), knee rise (V).
struct IgnitionFit : FitReport {
  KneedLine<double> law{};

  /// Derivatives of the critical grid voltage by the parameters.
  [[nodiscard]] Eigen::VectorXd slopes(double plate) const {
    const double ratio = law.line.control_ratio;
    LowVoltageKnee<double> one = law.knee;
    one.rise = 1;
    return Eigen::Vector3d(plate / (ratio * ratio), 1.0, one.lift(plate));
  }
  /// Standard error of the law at a plate voltage, V.
  [[nodiscard]] double uncertainty(double plate) const { return standard_error(slopes(plate)); }
  /// Half of the 95 % interval for the next firing at this plate voltage, V.
  [[nodiscard]] double half_width(double plate) const { return half_band(slopes(plate)); }

  /// A band that holds half_width() at every plate voltage: the uncertainties are added, not squared.
  [[nodiscard]] IgnitionBand<double> band() const {
    const double ratio = law.line.control_ratio, rise = law.knee.rise, rise_error = factor * parameters[2].uncertainty;
    return {factor * (scatter + parameters[1].uncertainty), factor * parameters[0].uncertainty / (ratio * ratio),
            rise > rise_error ? rise_error / rise : 1.0};
  }
};

namespace detail {
/// Works on intercept, slope and rise, in which the law is linear.
class IgnitionFitter {
 public:
  IgnitionFitter(std::span<const IgnitionPoint> points, const Gas& fill, const IgnitionFitOptions& options)
      : points_(points), fill_(fill), options_(options), knee_{fill.ionisation.value, 1.0, options.reference_plate} {
    options.check(fill);
  }

  [[nodiscard]] IgnitionFit fit() {
    refuse_impossible_points();
    refuse_rising_points();
    refuse_too_few_points();
    const LeastSquares full = solve(3);
    if (!full.determined()) refuse_undetermined("the firing points lie too close together");
    refuse_outlier(full, options_.reading, "V");
    refuse_uncertain(full);
    return report(full);
  }

 private:
  static constexpr double knee_valid_from = 2.0;  // V above the ionisation potential
  static constexpr double knee_advised_from = 5.0;

  [[nodiscard]] Eigen::VectorXd row(double plate) const { return Eigen::Vector3d(1.0, -plate, knee_.lift(plate)); }
  [[nodiscard]] Eigen::MatrixXd design() const {
    Eigen::MatrixXd rows(Eigen::Index(points_.size()), 3);
    for (std::size_t k = 0; k < points_.size(); ++k) rows.row(Eigen::Index(k)) = row(points_[k].plate).transpose();
    return rows;
  }
  [[nodiscard]] Eigen::VectorXd measured() const {
    Eigen::VectorXd grids(Eigen::Index(points_.size()));
    for (std::size_t k = 0; k < points_.size(); ++k) grids(Eigen::Index(k)) = points_[k].grid;
    return grids;
  }
  // With the first `columns` of intercept, slope, rise.
  [[nodiscard]] LeastSquares solve(Eigen::Index columns) const {
    return linear_least_squares(design().leftCols(columns), measured());
  }

  void refuse_impossible_points() const {
    const double least = fill_.ionisation.value + knee_valid_from;
    for (std::size_t k = 0; k < points_.size(); ++k) {
      if (!std::isfinite(points_[k].plate) || !std::isfinite(points_[k].grid))
        refuse(text("firing point %zu is not a finite number: measure it again", k + 1));
      if (points_[k].plate < least)
        refuse(text("firing point %zu, at %s of plate, lies below what the law covers in %s: measure above %s", k + 1,
                    quantity_text(points_[k].plate, "V").c_str(), fill_.name, quantity_text(least, "V").c_str()));
    }
  }
  void refuse_rising_points() const {
    std::vector<IgnitionPoint> sorted(points_.begin(), points_.end());
    std::sort(sorted.begin(), sorted.end(), [](const auto& a, const auto& b) { return a.plate < b.plate; });
    for (std::size_t k = 1; k < sorted.size(); ++k) {
      const IgnitionPoint &a = sorted[k - 1], &b = sorted[k];
      if (b.plate > a.plate && b.grid - a.grid > 5 * options_.reading)
        refuse(text("the critical grid voltage rises with plate voltage between %s and %s, from %s to %s: measure "
                    "these again",
                    quantity_text(a.plate, "V").c_str(), quantity_text(b.plate, "V").c_str(),
                    quantity_text(a.grid, "V").c_str(), quantity_text(b.grid, "V").c_str()));
    }
  }
  void refuse_too_few_points() const {
    const std::size_t count = points_.size();
    if (count < 4)
      refuse_undetermined(text("%zu firing point%s, at least 4 are needed", count, count == 1 ? "" : "s").c_str());
  }
  // Before anything is measured: intercept within volts, control ratios above 20, a knee of volts.
  [[noreturn]] void refuse_undetermined(const char* why) const {
    const Eigen::VectorXd prior = Eigen::Vector3d(5.0, 0.05, 3.0) / options_.reading;
    const Eigen::MatrixXd covariance = covariance_with_prior(design(), prior);
    refuse(text("%s: measure one near %s of plate", why, near(covariance, least_told(covariance, prior)).c_str()));
  }

  [[nodiscard]] NextPoint next(const Eigen::MatrixXd& covariance, std::size_t parameter) const {
    double highest = options_.highest_plate;
    for (const IgnitionPoint& p : points_) highest = math::max(highest, p.plate);
    const auto candidates = ratios_between(fill_.ionisation.value + knee_advised_from, highest);
    return next_point(covariance, parameter, candidates, [this](double plate) { return row(plate); });
  }
  [[nodiscard]] std::string near(const Eigen::MatrixXd& covariance, std::size_t parameter) const {
    return quantity_text(next(covariance, parameter).at, "V", 2);
  }

  [[nodiscard]] std::vector<Demand> demands(const LeastSquares& full) const {
    const double factor = student_factor(full.degrees_of_freedom());
    return {{1, factor * full.standard_error(1), options_.greatest_share * full.parameters(1)},
            {2, factor * full.standard_error(2), options_.greatest_rise}};
  }
  void refuse_uncertain(const LeastSquares& full) const {
    const Demand worst = worst_of(demands(full));
    if (worst.excess() > 1) worst.parameter == 1 ? refuse_slope(full, worst) : refuse_knee(full, worst);
    if (full.parameters(2) < -worst_of({demands(full)[1]}).interval)
      refuse(text("the firing points bend down towards low plate voltage, where a knee bends up: measure again near %s",
                  near(full.unit_covariance, 2).c_str()));
  }
  [[nodiscard]] std::string span_text() const {
    const auto by_plate = [](const auto& a, const auto& b) { return a.plate < b.plate; };
    const auto [low, high] = std::minmax_element(points_.begin(), points_.end(), by_plate);
    return text("all points lie between %s and %s", quantity_text(low->plate, "V").c_str(),
                quantity_text(high->plate, "V").c_str());
  }
  [[noreturn]] void refuse_slope(const LeastSquares& full, const Demand& worst) const {
    const NextPoint best = next(full.unit_covariance, 1);
    const double slope = full.parameters(1), share = 100 * worst.interval / slope;
    const std::string where = quantity_text(best.at, "V", 2);
    if (!(slope > 0) || share > 100)
      refuse(text("%s and leave the control ratio open; measure near %s", span_text().c_str(), where.c_str()));
    refuse(text("%s: the control ratio is known to %.0f %% only; measure near %s, which would make it about %.0f %%",
                span_text().c_str(), share, where.c_str(), share * best.shrinkage));
  }
  [[noreturn]] void refuse_knee(const LeastSquares& full, const Demand& worst) const {
    const NextPoint best = next(full.unit_covariance, 2);
    refuse(text("%s and leave the knee open, its rise at %s is known to %s only; measure one near %s of plate, which "
                "would make it about %s",
                span_text().c_str(), quantity_text(options_.reference_plate, "V").c_str(),
                quantity_text(worst.interval, "V", 2).c_str(), quantity_text(best.at, "V", 2).c_str(),
                quantity_text(worst.interval * best.shrinkage, "V", 2).c_str()));
  }

  // A rise that is negative by no more than chance is none; the line is then fitted without it.
  [[nodiscard]] IgnitionFit report(const LeastSquares& full) const {
    LeastSquares best = full;
    if (full.parameters(2) < 0) {
      const LeastSquares straight = solve(2);
      best.parameters << straight.parameters, 0.0;
      best.residuals = straight.residuals;
    }
    const double slope = best.parameters(1);
    Eigen::MatrixXd to_units = Eigen::MatrixXd::Zero(3, 3);
    to_units(0, 1) = -1 / (slope * slope), to_units(1, 0) = 1, to_units(2, 2) = 1;
    IgnitionFit result{report_on(best, to_units)};
    result.law = {.line = {1 / slope, best.parameters(0), 0.0}, .knee = knee_};
    result.law.knee.rise = best.parameters(2);
    add_parameter(result, "control ratio", 1 / slope, "");
    add_parameter(result, "intercept", best.parameters(0), "V");
    add_parameter(result, "knee rise", best.parameters(2), "V");
    const std::size_t worst = worst_of(demands(full)).parameter;
    result.next = {worst == 1 ? "control ratio" : "knee rise", next(full.unit_covariance, worst).at, {}};
    result.next.text = "measure near " + quantity_text(result.next.at, "V", 2) + " of plate";
    result.law.check();
    return result;
  }

  std::span<const IgnitionPoint> points_;
  const Gas& fill_;
  IgnitionFitOptions options_;
  LowVoltageKnee<double> knee_;
};
}  // namespace detail

/// Fits the control line with its low-voltage knee; the ionisation potential is the fill's.
/// @throws InvalidRequest for points that contradict each other or leave a parameter open, saying what to measure next
[[nodiscard]] inline IgnitionFit fit_ignition(std::span<const IgnitionPoint> points, const Gas& fill,
                                              const IgnitionFitOptions& options = {}) {
  return detail::IgnitionFitter(points, fill, options).fit();
}

}  // namespace gastube::adapt
