// SPDX-License-Identifier: MIT
#pragma once
/// The recovery of a tube of one's own, from the plate voltages at which it relit some time after extinction.
///
/// The anode voltage is re-applied in steps of delay: high voltage on a charged circuit. Discharge before touching
/// anything, and follow local rules.

#include "gastube/adapt/fit.hpp"
#include "gastube/tube/recovery/sheath_afterglow.hpp"

#include <algorithm>
#include <span>

namespace gastube::adapt {

/// One trial: `delay` after extinction the tube relit as the plate reached `restrike`.
struct RecoveryPoint {
  double delay;     ///< s, at least 0
  double restrike;  ///< V on the plate
};

/// What was the same in all trials.
struct RestrikeSetup {
  double current;            ///< A, plate current that had lasted until extinction, above 0
  double bias;               ///< V of the grid itself against the cathode, -1 or more negative
  double full;               ///< V, plate voltage that fires the recovered tube at this bias, above the floor
  double floor;              ///< V, plate voltage at which the arc can just burn, above 0
  double reading = 0;        ///< V, standard error of one restrike voltage; 0 for 2 % of full less floor
  double greatest = 0.5;     ///< greatest 95 % uncertainty of both times, as a share of each
  double highest_plate = 0;  ///< V, that may be advised to re-apply; 0 for full hold-off
  double bias_stated = 10;   ///< V below the cathode, at which the deionisation time is stated

  void check() const {
    Check{"recovery fit"}
        .above("current", current, 0.0, "A")
        .at_most("bias", bias, -1.0, "V")
        .above("floor", floor, 0.0, "V")
        .above("full", full, floor, "V")
        .at_least("reading", reading, 0.0, "V")
        .above("greatest", greatest, 0.0, "")
        .that(highest_plate == 0 || highest_plate > floor, "highest_plate", highest_plate, "V", "0, or above the floor")
        .above("bias_stated", bias_stated, 0.0, "V");
  }
  [[nodiscard]] double span() const { return full - floor; }
  /// Time constants by which the trials' bias is quicker than the stated one.
  [[nodiscard]] double sheath_weight() const { return 1.5 * std::log(-bias / bias_stated); }
  [[nodiscard]] double spread() const { return reading > 0 ? reading : 0.02 * span(); }
};

/// Exponential afterglow under the grid's sheath. Parameters in order: time constant (s), deionisation time (s) at the
/// stated bias and the trials' current.
struct RecoveryFit : FitReport {
  SheathAfterglow<double> law{};
  RestrikeSetup conditions{};

  /// Plate voltage at which the tube relights, V. @param delay s after extinction, in the conditions of the trials
  [[nodiscard]] double restrike(double delay) const {
    return conditions.floor + law.control(std::exp(-delay / law.time_constant), conditions.bias) * conditions.span();
  }
  /// Half of the 95 % interval for the next trial after this delay, V.
  [[nodiscard]] double half_width(double delay) const {
    const double tau = law.time_constant, weight = conditions.sheath_weight();
    const double begun = law.time - weight * tau, left = conditions.span() * std::exp(-(delay - begun) / tau);
    if (!(delay > begun)) return factor * scatter;
    return half_band(Eigen::Vector2d(-left / tau * ((delay - begun) / tau - weight), -left / tau));
  }
};

namespace detail {
/// Works on the time constant and the deionisation time at the stated bias.
class RecoveryFitter {
 public:
  RecoveryFitter(std::span<const RecoveryPoint> points, const RestrikeSetup& conditions)
      : points_(points.begin(), points.end()), given_(conditions) {
    conditions.check();
    order_.resize(points_.size());
    for (std::size_t k = 0; k < order_.size(); ++k) order_[k] = k;
    std::sort(order_.begin(), order_.end(), [&](auto a, auto b) { return points_[a].delay < points_[b].delay; });
  }

  [[nodiscard]] RecoveryFit fit() const {
    refuse_impossible_points();
    refuse_falling_points();
    refuse_unrevealing_points();
    const LeastSquares fit = nonlinear_least_squares(
        [this](const auto& p, auto& values, auto& jacobian) { model(p, values, jacobian); }, first_guess(), measured());
    if (!fit.determined() || !(fit.parameters(0) > 0)) refuse_between();
    refuse_outlier(fit, given_.spread(), "V");
    refuse_uncertain(fit);
    return report(fit);
  }

 private:
  [[nodiscard]] Eigen::VectorXd measured() const {
    Eigen::VectorXd volts(Eigen::Index(points_.size()));
    for (std::size_t k = 0; k < points_.size(); ++k) volts(Eigen::Index(k)) = points_[k].restrike;
    return volts;
  }
  // Delay after which the grid begins to hold at the trials' bias.
  [[nodiscard]] double beginning(const Eigen::VectorXd& p) const { return p(1) - given_.sheath_weight() * p(0); }
  // Restrike voltage, and its derivatives by the two parameters.
  [[nodiscard]] double restrike(const Eigen::VectorXd& p, double delay, Eigen::VectorXd& slopes) const {
    const double tau = p(0), since = delay - beginning(p);
    slopes = Eigen::Vector2d(0.0, 0.0);
    if (!(since > 0) || !(tau > 0)) return given_.floor;
    const double lost = given_.span() * std::exp(-since / tau);
    slopes = Eigen::Vector2d(-lost / tau * (since / tau - given_.sheath_weight()), -lost / tau);
    return given_.full - lost;
  }
  void model(const Eigen::VectorXd& p, Eigen::VectorXd& values, Eigen::MatrixXd& jacobian) const {
    Eigen::VectorXd slopes;
    for (std::size_t k = 0; k < points_.size(); ++k) {
      const auto row = Eigen::Index(k);
      values(row) = restrike(p, points_[k].delay, slopes);
      jacobian.row(row) = slopes.transpose();
    }
  }

  // Whether a voltage is told from the floor, and from full hold-off.
  [[nodiscard]] bool above_floor(const RecoveryPoint& p) const {
    return p.restrike - given_.floor > 3 * given_.spread();
  }
  [[nodiscard]] bool below_full(const RecoveryPoint& p) const { return given_.full - p.restrike > 3 * given_.spread(); }
  [[nodiscard]] bool tells(const RecoveryPoint& p) const { return above_floor(p) && below_full(p); }
  // The logarithm of what is lost falls in a straight line; weighted by the error that a logarithm has.
  [[nodiscard]] Eigen::VectorXd first_guess() const {
    Eigen::MatrixXd rows(Eigen::Index(points_.size()), 2);
    Eigen::VectorXd logarithms = Eigen::VectorXd::Zero(rows.rows());
    rows.setZero();
    for (std::size_t k = 0; k < points_.size(); ++k) {
      if (!tells(points_[k])) continue;
      const double left = (given_.full - points_[k].restrike) / given_.span();
      rows.row(Eigen::Index(k)) = left * Eigen::RowVector2d(1.0, -points_[k].delay);
      logarithms(Eigen::Index(k)) = left * std::log(left);
    }
    const LeastSquares line = linear_least_squares(rows, logarithms);
    const double rate = line.parameters(1);
    if (!line.determined() || !(rate > 0)) refuse_between();
    return Eigen::Vector2d(1 / rate, (line.parameters(0) + given_.sheath_weight()) / rate);
  }

  void refuse_impossible_points() const {
    for (std::size_t k = 0; k < points_.size(); ++k) {
      const RecoveryPoint& p = points_[k];
      if (!std::isfinite(p.delay) || !std::isfinite(p.restrike) || p.delay < 0)
        refuse(text("recovery point %zu: delay at least 0 and a finite voltage are needed: measure it again", k + 1));
      const double over = p.restrike - given_.full, under = given_.floor - p.restrike;
      if (over > 5 * given_.spread() || under > 5 * given_.spread())
        refuse(text("recovery point %zu, %s at %s, lies %s: measure it again, and that too", k + 1,
                    quantity_text(p.restrike, "V").c_str(), quantity_text(p.delay, "s").c_str(),
                    over > 0 ? "above full hold-off" : "below the arc's floor"));
    }
  }
  void refuse_falling_points() const {
    for (std::size_t k = 1; k < order_.size(); ++k) {
      const RecoveryPoint &a = points_[order_[k - 1]], &b = points_[order_[k]];
      if (b.delay > a.delay && a.restrike - b.restrike > 5 * given_.spread())
        refuse(text("the restrike voltage falls between %s and %s: measure these again",
                    quantity_text(a.delay, "s").c_str(), quantity_text(b.delay, "s").c_str()));
    }
  }
  void refuse_unrevealing_points() const {
    const auto telling = std::count_if(points_.begin(), points_.end(), [&](const auto& p) { return tells(p); });
    if (points_.empty()) refuse("no recovery points, at least 3 are needed: find one at half of full hold-off first");
    if (telling < 2 || points_.size() < 3) refuse_between();
  }
  // Where the voltage passes from floor to full between two neighbours, or beyond the end of the points.
  [[noreturn]] void refuse_between() const {
    const RecoveryPoint &first = points_[order_.front()], &last = points_[order_.back()];
    const auto count = points_.size();
    if (!above_floor(last))
      refuse(text("up to %s the grid has won nothing back: measure later, near %s",
                  quantity_text(last.delay, "s").c_str(), quantity_text(2 * last.delay, "s").c_str()));
    if (!below_full(first))
      refuse(text("from %s on the tube has recovered: measure sooner, near %s", quantity_text(first.delay, "s").c_str(),
                  quantity_text(first.delay / 2, "s").c_str()));
    refuse(text("%zu recovery point%s not tell the rise, at least 3, of which 2 between floor and full, are needed: "
                "measure near %s",
                count, count == 1 ? " does" : "s do", quantity_text(widest_gap(), "s").c_str()));
  }
  // Middle of the greatest step in voltage; floor stands at no delay, and full beyond the last point.
  [[nodiscard]] double widest_gap() const {
    double delay = 0, volts = given_.floor, step = 0, middle = 0;
    const auto look = [&](double next_delay, double next_volts) {
      if (next_volts - volts > step) step = next_volts - volts, middle = (delay + next_delay) / 2;
      delay = next_delay, volts = next_volts;
    };
    for (const std::size_t k : order_) look(points_[k].delay, points_[k].restrike);
    look(2 * delay, given_.full);
    return middle;
  }

  [[nodiscard]] NextPoint next(const LeastSquares& fit, std::size_t parameter) const {
    // Not so close to the beginning that the point may turn out to lie before it.
    const double highest = given_.highest_plate > 0 ? given_.highest_plate : given_.full;
    const double least = math::min(given_.floor + 3 * given_.spread(), highest), begun = beginning(fit.parameters);
    const auto since = [&](double volts) {
      return -fit.parameters(0) * std::log(math::max((given_.full - volts) / given_.span(), std::exp(-4.0)));
    };
    std::vector<double> candidates;
    for (int k = 0; k <= 80; ++k)
      candidates.push_back(math::max(begun + since(least) + (since(highest) - since(least)) * k / 80, 0.0));
    return next_point(fit.unit_covariance, parameter, candidates, [&](double delay) {
      Eigen::VectorXd slopes;
      (void)restrike(fit.parameters, delay, slopes);
      return slopes;
    });
  }
  [[nodiscard]] std::vector<Demand> demands(const LeastSquares& fit) const {
    const double factor = student_factor(fit.degrees_of_freedom());
    return {{0, factor * fit.standard_error(0), given_.greatest * fit.parameters(0)},
            {1, factor * fit.standard_error(1), given_.greatest * fit.parameters(1)}};
  }
  void refuse_uncertain(const LeastSquares& fit) const {
    if (!(fit.parameters(1) > 0))
      refuse(text("the points would have the grid hold before extinction at %s of bias: measure sooner, near %s",
                  quantity_text(-given_.bias_stated, "V").c_str(),
                  quantity_text(points_[order_.front()].delay / 2, "s").c_str()));
    const Demand worst = worst_of(demands(fit));
    if (!(worst.excess() > 1)) return;
    const NextPoint best = next(fit, worst.parameter);
    const double percent = 100 * worst.interval / fit.parameters(Eigen::Index(worst.parameter));
    refuse(text("the points leave the %s known to %.0f %% only; measure near %s, which would make it about %.0f %%",
                worst.parameter == 0 ? "time constant" : "deionisation time", percent,
                quantity_text(best.at, "s").c_str(), percent * best.shrinkage));
  }

  [[nodiscard]] RecoveryFit report(const LeastSquares& fit) const {
    RecoveryFit result{report_on(fit, Eigen::MatrixXd::Identity(2, 2))};
    result.conditions = given_;
    result.law = {fit.parameters(0), fit.parameters(1), given_.current, given_.bias_stated};
    add_parameter(result, "time constant", fit.parameters(0), "s");
    add_parameter(result, "deionisation time", fit.parameters(1), "s");
    const std::size_t worst = worst_of(demands(fit)).parameter;
    result.next = {result.parameters[worst].name, next(fit, worst).at, {}};
    result.next.text = "measure " + quantity_text(result.next.at, "s") + " after extinction";
    result.law.check();
    return result;
  }

  std::vector<RecoveryPoint> points_;
  std::vector<std::size_t> order_{};
  RestrikeSetup given_;
};
}  // namespace detail

/// Fits the time constant of the afterglow and the time after which the grid holds.
/// @throws InvalidRequest for points that contradict each other or leave a parameter open, saying what to measure next
[[nodiscard]] inline RecoveryFit fit_recovery(std::span<const RecoveryPoint> points, const RestrikeSetup& conditions) {
  return detail::RecoveryFitter(points, conditions).fit();
}

}  // namespace gastube::adapt
