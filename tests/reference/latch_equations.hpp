// SPDX-License-Identifier: MIT
#pragma once
/// The lamp latch's equations written out by hand: nothing here uses the library's parts, laws or state machine, only
/// the tube's published numbers. Unknowns are few: line and drives are known, the lamp's node follows from its two
/// resistors, and the lit tube's current from its arc law (its arc resistance is not zero).

#include "latch_values.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <vector>

namespace latch {

enum Unknown {
  across,
  plate_b_volts,
  grid_a_volts,
  grid_b_volts,
  heat,
  residual_a,
  residual_b,
  formed_a,
  formed_b,
  excess_a,
  excess_b,
  unknowns
};
using Vector = std::array<double, unknowns>;

enum class Phase { blocked, striking, conducting, recovering };

[[nodiscard]] inline const char* name(Phase phase) {
  constexpr std::array names{"blocked", "striking", "conducting", "recovering"};
  return names[static_cast<std::size_t>(phase)];
}

/// A xenon tetrode with its shield grid at the cathode, warm.
class HandTube {
 public:
  explicit HandTube(const gastube::catalogue::TubeData& data) : d_(data) {}

  /// A from plate to cathode: down the arc, the few electrons that pass a dark tube, or the ions that a negative plate
  /// collects while any are left. `excess` V are left of the plate's fall to the arc drop.
  [[nodiscard]] double plate_current(Phase phase, double plate, double grid, double excess, double residual = 0) const {
    if (phase == Phase::conducting) return (plate - d_.arc_drop - excess) / d_.arc_resistance;
    const double drive = grid + plate / d_.control_ratio - d_.line_intercept;
    if (plate <= 0) return -d_.plate_ions * residual * std::min(-plate, 1.0);
    if (drive <= 0) return 0;
    return d_.electron_perveance * drive * std::sqrt(drive) * plate / (plate + 1);
  }
  /// A from plate to grid.
  [[nodiscard]] double ions(Phase phase, double plate, double grid, double residual, double excess) const {
    if (phase == Phase::conducting) return d_.ion_share * std::max(plate_current(phase, plate, grid, excess), 0.0);
    if (plate <= grid) return 0;
    const double share = std::min(std::max(plate / ionisation() - 1, 0.0), 1.0);
    const double afterglow = d_.ion_share * d_.deionisation_reference_current * residual;
    return d_.critical_grid_current * share + afterglow * std::min(plate - grid, 1.0);
  }
  /// A from grid to cathode; `clamped` by the plasma, above whose potential it is.
  [[nodiscard]] double electrons_of_grid(Phase phase, bool clamped, double grid) const {
    const double leak = d_.grid_leakage * grid;
    if (phase == Phase::conducting) return clamped ? leak + above_plasma(grid) / d_.plasma_resistance : leak;
    return grid > 0 ? leak + d_.grid_perveance * grid * std::sqrt(grid) : leak;
  }
  /// V of the grid above the plasma.
  [[nodiscard]] double above_plasma(double grid) const { return grid - d_.plasma_potential; }
  /// 1/s: rise of the residual ionisation by the arc.
  [[nodiscard]] double ionising(Phase phase, double plate, double grid, double excess) const {
    if (phase != Phase::conducting) return 0;
    return std::max(plate_current(phase, plate, grid, excess), 0.0)
           / (d_.deionisation_reference_current * d_.deionisation_constant);
  }
  [[nodiscard]] double decay() const { return 1 / d_.deionisation_constant; }

  /// V on the grid at which the tube fires.
  [[nodiscard]] double critical_grid(double plate, double grid, double residual) const {
    const double v = effective_plate(plate, grid, residual);
    if (v <= ionisation()) return never;
    const double knee = d_.knee_rise * std::pow((50 - ionisation()) / (v - ionisation()), 2.0 / 3.0);
    return std::min(d_.line_intercept - v / d_.control_ratio + knee, never);
  }
  /// 1/s: growth of the formation while striking.
  [[nodiscard]] double forming(Phase phase, double plate, double grid, double residual) const {
    if (phase != Phase::striking) return 0;
    const double drive = std::max(grid - critical_grid(plate, grid, residual), 0.0);
    return drive / (d_.ionisation_time_least * drive + d_.ionisation_time_product) / std::max(1 - residual, 1e-3);
  }
  /// Volts by which the circuit cannot feed the arc to be; `ohms` is what it shows at the plate.
  [[nodiscard]] double shortage(double plate, double grid, double residual, double ohms) const {
    if (control(residual, grid) < 0.5)
      throw std::logic_error("a tube strikes in its afterglow: not in these equations");
    return needed() - plate + ohms * (d_.sustaining_current - plate_current(Phase::striking, plate, grid, 0));
  }
  /// 0 when the arc carries the sustaining current, as a share above it; but while the plate falls, 0 when it is down.
  [[nodiscard]] double arc_margin(double plate, double excess) const {
    const double current = plate_current(Phase::conducting, plate, 0, excess);
    return std::max(current / d_.sustaining_current - 1, excess / 1e-3 - 1);
  }
  /// V: what the plate has to fall when the arc has formed.
  [[nodiscard]] double fall(double plate, double grid) const {
    if (d_.plate_fall <= 0) return 0;
    return std::max(plate - d_.arc_drop - d_.arc_resistance * plate_current(Phase::striking, plate, grid, 0), 0.0);
  }
  /// 1/s, of the fall.
  [[nodiscard]] double falling() const { return d_.plate_fall > 0 ? 1 / d_.plate_fall : 0; }
  /// 0 when a grid at the cathode's potential has all but a thousandth of its control.
  [[nodiscard]] double afterglow_left(double residual) const { return residual / (1e-3 * holding_level(0)) - 1; }
  /// 0 when the tube arcs back.
  [[nodiscard]] double inverse_margin(double plate) const { return 1 + plate / d_.reverse_breakdown; }

  [[nodiscard]] double grid_plate() const { return d_.grid_plate_capacitance; }
  [[nodiscard]] double grid_cathode() const { return d_.input_capacitance; }
  [[nodiscard]] double plate_cathode() const { return d_.output_capacitance; }
  [[nodiscard]] double arc_ohms() const { return d_.arc_resistance; }

 private:
  static constexpr double never = 1e4;  // V

  [[nodiscard]] double ionisation() const { return d_.fill->ionisation; }
  [[nodiscard]] double needed() const { return d_.arc_drop + d_.arc_resistance * d_.sustaining_current; }
  [[nodiscard]] double holding_level(double grid) const {
    const double sheath = std::max(-grid, 1.0) / 10;
    return std::exp(-d_.deionisation_time / d_.deionisation_constant) * sheath * std::sqrt(sheath);
  }
  [[nodiscard]] double control(double residual, double grid) const {
    return std::min(std::max(1 - residual / holding_level(grid), 0.0), 1.0);
  }
  [[nodiscard]] double effective_plate(double plate, double grid, double residual) const {
    const double floor = needed() + 1;
    return plate <= floor ? plate : floor + (plate - floor) / std::max(control(residual, grid), 1e-6);
  }

  gastube::catalogue::TubeData d_;
};

/// A drive as a list of straight pieces.
class HandDrive {
 public:
  HandDrive(const Drive& d, double end) : pieces_{{0, d.delay, d.low, d.low}} {
    for (double start = d.delay; start<end; start += d.period> 0 ? d.period : end) {
      add(start + d.rise, d.high);
      add(start + d.rise + d.width, d.high);
      add(start + d.rise + d.width + d.fall, d.low);
      add(d.period > 0 ? start + d.period : 1e30, d.low);
    }
  }
  /// Goes on to the piece that holds at `time` and after it.
  void enter(double time) {
    while (pieces_[now_].until <= time) ++now_;
  }
  [[nodiscard]] double until() const { return pieces_[now_].until; }
  /// V, `after` seconds past `base`.
  [[nodiscard]] double volts(double base, double after) const {
    const Piece& p = pieces_[now_];
    return p.first == p.last ? p.last : p.first + (p.last - p.first) * ((base - p.from) + after) / (p.until - p.from);
  }

 private:
  struct Piece {
    double from, until, first, last;
  };
  void add(double until, double last) { pieces_.push_back({pieces_.back().until, until, pieces_.back().last, last}); }

  std::vector<Piece> pieces_;
  std::size_t now_ = 0;
};

/// The circuit with both tubes' phases. Time counts from base(), so that no digits are lost late in a run.
class HandLatch {
 public:
  static constexpr std::size_t guards = 6;  ///< two a tube for its phases, and one each for its grid's sharp bend

  HandLatch(const Values& values, bool with_capacitances)
      : v_(values)
      , tube_(tube_data(with_capacitances))
      , set_(values.set, values.end)
      , reset_(values.reset, values.end)
      , charged_nodes_(with_capacitances) {}

  [[nodiscard]] double base() const { return base_; }
  void rebase(double time) {
    base_ = time;
    set_.enter(time);
    reset_.enter(time);
  }
  [[nodiscard]] Phase phase(std::size_t tube) const { return phases_[tube]; }

  /// 0 = r(t, y, dy/dt).
  void residual(double t, const double* y, const double* dy, double* r) const {
    const double a = y[plate_b_volts] + y[across], b = y[plate_b_volts];
    const double da = dy[plate_b_volts] + dy[across], db = dy[plate_b_volts];
    const double ohms = lamp_ohms(y[heat]), through_lamp = (v_.line - a) / (v_.series + ohms);
    const double charging = v_.commutating * dy[across];
    r[across] = charging + plate_row(0, a, da, y, dy) - through_lamp;
    // The sum of both plates' rows: free of the commutating capacitor.
    r[plate_b_volts] =
        plate_row(0, a, da, y, dy) + plate_row(1, b, db, y, dy) - through_lamp - (v_.line - b) / v_.reset_load;
    r[grid_a_volts] = grid_row(0, a, da, y, dy) - (set_.volts(base_, t) - y[grid_a_volts]) / v_.grid_lead;
    r[grid_b_volts] = grid_row(1, b, db, y, dy) - (reset_.volts(base_, t) - y[grid_b_volts]) / v_.grid_lead;
    const double watts = v_.lamp_voltage * v_.lamp_current;
    r[heat] = v_.lamp_time * dy[heat] + radiation(y[heat]) - through_lamp * through_lamp * ohms / watts;
    for (std::size_t k = 0; k < 2; ++k) {
      const double plate = k == 0 ? a : b, grid = y[grid_a_volts + k], left = y[residual_a + k],
                   excess = y[excess_a + k];
      r[residual_a + k] = dy[residual_a + k] - tube_.ionising(phases_[k], plate, grid, excess) + tube_.decay() * left;
      r[formed_a + k] = dy[formed_a + k] - tube_.forming(phases_[k], plate, grid, left);
      r[excess_a + k] = dy[excess_a + k] + tube_.falling() * excess;
    }
  }
  /// True for unknowns whose rate appears in the equations; the others jump at events.
  [[nodiscard]] bool differential(std::size_t k) const {
    return charged_nodes_ || (k != plate_b_volts && k != grid_a_volts && k != grid_b_volts);
  }

  /// Margins that fall through 0 at events.
  void margins(const double* y, double* g) const {
    for (std::size_t k = 0; k < 2; ++k) {
      const double plate = plate_of(k, y), grid = y[grid_a_volts + k], left = y[residual_a + k];
      const double below_critical = tube_.critical_grid(plate, grid, left) - grid;
      g[2 * k + 1] = g[4 + k] = 1;
      switch (phases_[k]) {
      case Phase::blocked:
        g[2 * k] = below_critical;
        g[2 * k + 1] = tube_.inverse_margin(plate);
        break;
      case Phase::striking:
        g[2 * k] = std::max(1 - y[formed_a + k], tube_.shortage(plate, grid, left, ohms_at_plate(k, y)));
        // given up a millivolt below, counted at the grid and at the plate
        g[2 * k + 1] = 1e-3 + grid - tube_.critical_grid(plate + 1e-3, grid, left);
        break;
      case Phase::conducting:
        g[2 * k] = tube_.arc_margin(plate, y[excess_a + k]);
        g[4 + k] = clamped_[k] ? tube_.above_plasma(grid) : -tube_.above_plasma(grid);
        break;
      case Phase::recovering:
        g[2 * k] = below_critical;
        g[2 * k + 1] = tube_.afterglow_left(left);
        break;
      }
    }
  }
  /// True if guard k is a bend in a law, no change of phase.
  [[nodiscard]] static bool is_bend(std::size_t k) { return k >= 4; }
  /// Carries out event k.
  void fire(std::size_t k, double* y) {
    if (is_bend(k)) {
      clamped_[k - 4] = !clamped_[k - 4];
      return;
    }
    Phase& phase = phases_[k / 2];
    const bool first = k % 2 == 0;
    switch (phase) {
    case Phase::blocked:
      if (!first) throw std::logic_error("a tube arcs back: not in these equations");
      phase = Phase::striking;
      break;
    case Phase::striking: phase = first ? Phase::conducting : Phase::recovering; break;
    case Phase::conducting: phase = Phase::recovering; break;
    case Phase::recovering: phase = first ? Phase::striking : Phase::blocked; break;
    }
    const std::size_t tube = k / 2;
    if (phase == Phase::striking) y[formed_a + tube] = 0;
    y[excess_a + tube] = phase == Phase::conducting ? tube_.fall(plate_of(tube, y), y[grid_a_volts + tube]) : 0;
  }

  [[nodiscard]] Sample sample(const double* y) const {
    const double a = plate_of(0, y), current = (v_.line - a) / (v_.series + lamp_ohms(y[heat]));
    return {v_.line - v_.series * current, a, plate_of(1, y), y[grid_a_volts], y[grid_b_volts], y[heat]};
  }
  [[nodiscard]] Vector start() const {
    Vector y{};
    y[heat] = v_.lamp_cold;
    if (charged_nodes_) return y;  // all nodes at 0
    y[plate_b_volts] = v_.line;
    y[grid_a_volts] = v_.set.low;
    y[grid_b_volts] = v_.reset.low;
    return y;
  }
  /// The next corner of a drive after base().
  [[nodiscard]] double next_corner() const { return std::min(set_.until(), reset_.until()); }

 private:
  [[nodiscard]] static double plate_of(std::size_t tube, const double* y) {
    return tube == 0 ? y[plate_b_volts] + y[across] : y[plate_b_volts];
  }
  /// A that leave a plate through its tube.
  [[nodiscard]] double plate_row(std::size_t k, double plate, double rate, const double* y, const double* dy) const {
    return tube_.plate_current(phases_[k], plate, y[grid_a_volts + k], y[excess_a + k], y[residual_a + k])
           + ions(k, plate, y) + tube_.plate_cathode() * rate + tube_.grid_plate() * (rate - dy[grid_a_volts + k]);
  }
  /// A that leave a grid through its tube.
  [[nodiscard]] double grid_row(std::size_t k, double plate, double rate, const double* y, const double* dy) const {
    const double grid_rate = dy[grid_a_volts + k];
    return tube_.electrons_of_grid(phases_[k], clamped_[k], y[grid_a_volts + k]) - ions(k, plate, y)
           + tube_.grid_cathode() * grid_rate + tube_.grid_plate() * (grid_rate - rate);
  }
  [[nodiscard]] double ions(std::size_t k, double plate, const double* y) const {
    return tube_.ions(phases_[k], plate, y[grid_a_volts + k], y[residual_a + k], y[excess_a + k]);
  }
  [[nodiscard]] double lamp_ohms(double temperature) const {
    const double e = v_.lamp_exponent;
    return v_.lamp_voltage / v_.lamp_current * std::pow(temperature, 4 * (1 - e) / (1 + e));
  }
  [[nodiscard]] double radiation(double temperature) const {
    const double cold = std::pow(v_.lamp_cold, 4);
    return (temperature * temperature * temperature * temperature - cold) / (1 - cold);
  }
  /// What the circuit shows at the plate of a dark tube at once: nothing where the nodes hold charge; else the loads,
  /// and the other tube's arc, which the commutating capacitor joins to it.
  [[nodiscard]] double ohms_at_plate(std::size_t tube, const double* y) const {
    if (charged_nodes_) return 0;
    double siemens = 1 / (v_.series + lamp_ohms(y[heat])) + 1 / v_.reset_load;
    if (phases_[1 - tube] == Phase::conducting) siemens += 1 / tube_.arc_ohms();
    return 1 / siemens;
  }
  Values v_;
  HandTube tube_;
  HandDrive set_, reset_;
  bool charged_nodes_;
  std::array<Phase, 2> phases_{Phase::blocked, Phase::blocked};
  std::array<bool, 2> clamped_{};
  double base_ = 0;
};

}  // namespace latch
