// SPDX-License-Identifier: MIT
#pragma once
/// The lamp latch (without interelectrode capacitances) as somebody would write it who wants this one circuit stepped
/// fast: backward Euler at a fixed step, five unknowns, slopes by hand, Newton's method with an elimination for five
/// equations, guards looked at after each step, events located, jumps settled. It knows everything at compile time.

#include <gastube/support/root.hpp>

#include "../tests/reference/latch_values.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace by_hand {

enum class Phase { blocked, striking, conducting, recovering };

/// Currents of one tube with slopes by its plate and grid.
struct Currents {
  double plate = 0, plate_p = 0, plate_g = 0;  ///< down the tube
  double ions = 0, ions_p = 0, ions_g = 0;     ///< from plate to grid
  double grid = 0, grid_g = 0;                 ///< from grid to cathode
};

/// The tube's numbers, those of its laws that stay the same worked out beforehand.
struct Tube {
  double drop, ohms, falling, sustaining, ratio, intercept, perveance, grid_perveance, leak, critical_ions, ionisation,
      ion_share, afterglow_ions, plasma, plasma_ohms, knee, fading, ionising, holding, lag, lag_product, floor;

  explicit Tube(const gastube::catalogue::TubeData& d)
      : drop(d.arc_drop)
      , ohms(d.arc_resistance)
      , falling(d.plate_fall > 0 ? 1 / d.plate_fall : 0)
      , sustaining(d.sustaining_current)
      , ratio(d.control_ratio)
      , intercept(d.line_intercept)
      , perveance(d.electron_perveance)
      , grid_perveance(d.grid_perveance)
      , leak(d.grid_leakage)
      , critical_ions(d.critical_grid_current)
      , ionisation(d.fill->ionisation)
      , ion_share(d.ion_share)
      , afterglow_ions(d.ion_share * d.deionisation_reference_current)
      , plasma(d.plasma_potential)
      , plasma_ohms(d.plasma_resistance)
      , knee(d.knee_rise * std::pow(50 - ionisation, 2.0 / 3.0))
      , fading(1 / d.deionisation_constant)
      , ionising(fading / d.deionisation_reference_current)
      , holding(std::exp(-d.deionisation_time / d.deionisation_constant))
      , lag(d.ionisation_time_least)
      , lag_product(d.ionisation_time_product)
      , floor(drop + ohms * sustaining + 1) {}

  [[nodiscard]] Currents lit(double p, double g, double excess) const {
    Currents c;
    c.plate = (p - drop - excess) / ohms;
    c.plate_p = 1 / ohms;
    if (c.plate > 0) c.ions = ion_share * c.plate, c.ions_p = ion_share / ohms;
    c.grid = leak * g;
    c.grid_g = leak;
    if (g > plasma) c.grid += (g - plasma) / plasma_ohms, c.grid_g += 1 / plasma_ohms;
    return c;
  }
  [[nodiscard]] Currents dark(double p, double g, double residual) const {
    Currents c;
    c.grid = leak * g;
    c.grid_g = leak;
    if (g > 0) {
      const double root = std::sqrt(g);
      c.grid += grid_perveance * g * root;
      c.grid_g += 1.5 * grid_perveance * root;
    }
    if (const double drive = g + p / ratio - intercept; p > 0 && drive > 0) {
      const double root = std::sqrt(drive), flow = perveance * drive * root, cut = p / (p + 1);
      c.plate = flow * cut;
      c.plate_g = 1.5 * perveance * root * cut;
      c.plate_p = c.plate_g / ratio + flow * cut / (p * (p + 1));
    }
    if (p > g) {
      const double share = p / ionisation - 1, after = afterglow_ions * residual;
      c.ions = critical_ions * std::clamp(share, 0.0, 1.0) + after * std::min(p - g, 1.0);
      if (share > 0 && share < 1) c.ions_p = critical_ions / ionisation;
      if (p - g < 1) c.ions_p += after, c.ions_g = -after;
    }
    return c;
  }
  [[nodiscard]] double control(double residual, double g) const {
    const double sheath = std::max(-g, 1.0) / 10;
    return std::clamp(1 - residual / (holding * sheath * std::sqrt(sheath)), 0.0, 1.0);
  }
  [[nodiscard]] double critical(double p, double g, double residual) const {
    const double v = p > floor ? floor + (p - floor) / std::max(control(residual, g), 1e-6) : p;
    if (v <= ionisation) return 1e4;
    return std::min(intercept - v / ratio + knee * std::pow(v - ionisation, -2.0 / 3.0), 1e4);
  }
};

class Latch {
 public:
  explicit Latch(const latch::Values& values, double tolerance)
      : v_(values)
      , tube_(latch::tube_data(false))
      , tolerance_(tolerance)
      , exponent_(4 * (1 - values.lamp_exponent) / (1 + values.lamp_exponent))
      , cold_(std::pow(values.lamp_cold, 4)) {
    at_.x = {v_.line, v_.line, v_.set.low, v_.reset.low, v_.lamp_cold};
    settle();
  }

  /// Steps of length h to `end`.
  void run(double h, double end) {
    while (time_ < end) {
      const double corner = next_corner(), goal = std::min(corner, end), room = goal - time_;
      const bool whole = room <= h * (1 + 1e-9);
      ++steps_;
      solve(whole ? room : h);
      if (const int guard = fallen(0, next_); guard >= 0) {
        locate(guard, whole ? room : h);
        continue;
      }
      at_ = next_;
      time_ = whole ? goal : time_ + h;
      if (whole && goal == corner) pass_corner();
    }
  }
  [[nodiscard]] long steps() const { return steps_; }
  [[nodiscard]] double plate_a() const { return at_.x[0]; }
  [[nodiscard]] double plate_b() const { return at_.x[1]; }
  [[nodiscard]] double temperature() const { return at_.x[4]; }
  [[nodiscard]] double last_strike() const { return last_strike_; }
  [[nodiscard]] std::size_t events() const { return events_; }

 private:
  static constexpr std::size_t n = 5;  // plate a, plate b, grid a, grid b, temperature
  using Vector = std::array<double, n>;
  struct State {
    Vector x{};
    std::array<double, 2> residual{}, formed{}, excess{};
  };

  [[nodiscard]] Currents currents(std::size_t k, const State& s) const {
    return phases_[k] == Phase::conducting ? tube_.lit(s.x[k], s.x[2 + k], s.excess[k])
                                           : tube_.dark(s.x[k], s.x[2 + k], s.residual[k]);
  }
  [[nodiscard]] double ohms(double temperature) const {
    return v_.lamp_voltage / v_.lamp_current * std::pow(std::max(temperature, 1e-3), exponent_);
  }

  /// The state h after at_, into next_.
  void solve(double h) {
    next_ = at_;
    for (std::size_t k = 0; k < 2; ++k) {
      if (phases_[k] != Phase::conducting) next_.residual[k] = at_.residual[k] / (1 + h * tube_.fading);
      next_.excess[k] = at_.excess[k] / (1 + h * tube_.falling);
    }
    for (int round = 0; round < 40; ++round) {
      write(h);
      eliminate();
      double size = 0;
      for (std::size_t k = 0; k < n; ++k) {
        next_.x[k] -= r_[k];
        size = std::max(size, std::fabs(r_[k]) / (tolerance_ * (0.1 + std::fabs(next_.x[k]))));
      }
      if (size < 1e-3) break;
    }
    follow(h);
  }
  void follow(double h) {
    for (std::size_t k = 0; k < 2; ++k) {
      const double p = next_.x[k], g = next_.x[2 + k];
      if (phases_[k] == Phase::conducting) {
        const double current = std::max((p - tube_.drop - next_.excess[k]) / tube_.ohms, 0.0);
        next_.residual[k] = (at_.residual[k] + h * tube_.ionising * current) / (1 + h * tube_.fading);
      } else if (phases_[k] == Phase::striking) {
        const double drive = std::max(g - tube_.critical(p, g, next_.residual[k]), 0.0);
        const double rate = drive / (tube_.lag * drive + tube_.lag_product);
        next_.formed[k] = at_.formed[k] + h * rate / std::max(1 - next_.residual[k], 1e-3);
      }
    }
  }
  /// Equations and slopes at next_.
  void write(double h) {
    const auto& x = next_.x;
    const Currents a = currents(0, next_), b = currents(1, next_);
    const double lamp = ohms(x[4]), whole = v_.series + lamp, amperes = (v_.line - x[0]) / whole;
    const double farads = v_.commutating / h, charging = farads * ((x[0] - at_.x[0]) - (x[1] - at_.x[1]));
    const double lamp_slope = exponent_ * lamp / x[4], amperes_slope = -amperes * lamp_slope / whole;
    const double watts = v_.lamp_voltage * v_.lamp_current, t3 = x[4] * x[4] * x[4];
    const double lead = 1 / v_.grid_lead;
    r_ = {charging + a.plate + a.ions - amperes, -charging + b.plate + b.ions - (v_.line - x[1]) / v_.reset_load,
          a.grid - a.ions - (drive_[0].volts(time_ + h) - x[2]) * lead,
          b.grid - b.ions - (drive_[1].volts(time_ + h) - x[3]) * lead,
          v_.lamp_time * (x[4] - at_.x[4]) / h + (t3 * x[4] - cold_) / (1 - cold_) - amperes * amperes * lamp / watts};
    m_ = {};
    m_[0] = {farads + a.plate_p + a.ions_p + 1 / whole, -farads, a.plate_g + a.ions_g, 0, -amperes_slope};
    m_[1] = {-farads, farads + b.plate_p + b.ions_p + 1 / v_.reset_load, 0, b.plate_g + b.ions_g, 0};
    m_[2] = {-a.ions_p, 0, a.grid_g - a.ions_g + lead, 0, 0};
    m_[3] = {0, -b.ions_p, 0, b.grid_g - b.ions_g + lead, 0};
    m_[4] = {2 * amperes * lamp / whole / watts, 0, 0, 0,
             v_.lamp_time / h + 4 * t3 / (1 - cold_)
                 - (2 * amperes * amperes_slope * lamp + amperes * amperes * lamp_slope) / watts};
  }
  void eliminate() {
    for (std::size_t k = 0; k < n; ++k) {
      std::size_t p = k;
      for (std::size_t i = k + 1; i < n; ++i)
        if (std::fabs(m_[i][k]) > std::fabs(m_[p][k])) p = i;
      std::swap(m_[p], m_[k]);
      std::swap(r_[p], r_[k]);
      const double pivot = 1 / m_[k][k];
      for (std::size_t i = k + 1; i < n; ++i) {
        const double factor = m_[i][k] * pivot;
        if (factor == 0) continue;
        for (std::size_t j = k + 1; j < n; ++j) m_[i][j] -= factor * m_[k][j];
        r_[i] -= factor * r_[k];
      }
      m_[k][k] = pivot;
    }
    for (std::size_t k = n; k-- > 0;) {
      for (std::size_t j = k + 1; j < n; ++j) r_[k] -= m_[k][j] * r_[j];
      r_[k] *= m_[k][k];
    }
  }

  [[nodiscard]] double guard(int which, const State& s) const {
    const auto k = static_cast<std::size_t>(which / 2);
    const bool first = which % 2 == 0;
    const double p = s.x[k], g = s.x[2 + k];
    switch (phases_[k]) {
    case Phase::blocked: return first ? tube_.critical(p, g, s.residual[k]) - g : 1 + p / 1950;
    case Phase::striking: return first ? 1 - s.formed[k] : g - tube_.critical(p, g, s.residual[k]) + 1e-9;
    case Phase::conducting:
      if (!first) return 1;
      return std::max((p - tube_.drop - s.excess[k]) / tube_.ohms / tube_.sustaining - 1, s.excess[k] / 1e-3 - 1);
    case Phase::recovering:
      return first ? tube_.critical(p, g, s.residual[k]) - g
                   : s.residual[k] / (1e-3 * tube_.holding * std::sqrt(1e-3)) - 1;
    }
    return 1;
  }
  [[nodiscard]] int fallen(double level, const State& s) const {
    for (int k = 0; k < 4; ++k)
      if (guard(k, s) <= level) return k;
    return -1;
  }
  void locate(int which, double h) {
    const auto margin = [&](double part) {
      solve(part);
      return guard(which, next_);
    };
    const double at_start = guard(which, at_);
    if (at_start > 0) {
      const gastube::Bracket<double> all{0, h, at_start, margin(h)};
      const double after = gastube::shrink_bracket(margin, all, std::max(4e-16 * time_, 3.6e-15 * h)).high;
      solve(after);
      at_ = next_;
      time_ += after;
    }
    fire(which);
    settle();
  }
  void fire(int which) {
    const auto k = static_cast<std::size_t>(which / 2);
    const bool first = which % 2 == 0;
    switch (phases_[k]) {
    case Phase::blocked: phases_[k] = Phase::striking; break;
    case Phase::striking: phases_[k] = first ? Phase::conducting : Phase::recovering; break;
    case Phase::conducting: phases_[k] = Phase::recovering; break;
    case Phase::recovering: phases_[k] = first ? Phase::striking : Phase::blocked; break;
    }
    if (phases_[k] == Phase::striking) at_.formed[k] = 0;
    const bool falls = phases_[k] == Phase::conducting && tube_.falling > 0;
    const double dark = falls ? tube_.dark(at_.x[k], at_.x[2 + k], at_.residual[k]).plate : 0;
    at_.excess[k] = falls ? std::max(at_.x[k] - tube_.drop - tube_.ohms * dark, 0.0) : 0;
    if (phases_[k] == Phase::conducting) last_strike_ = time_;
    ++events_;
  }
  /// Voltages that hold no charge follow at once; what that sets off is fired too.
  void settle() {
    for (int round = 0; round < 20; ++round) {
      const State before = at_;
      solve(1e-15);
      at_.x = next_.x;
      const int guard = fallen(-1e-9, at_);
      if (guard < 0) return;
      at_ = before;
      fire(guard);
    }
  }

  /// A drive and the straight piece of it that holds now.
  struct DriveNow {
    latch::Drive d;
    long pulse = 0;
    int piece = 0;
    double until = d.delay, first = d.low, slope = 0, from = 0;

    [[nodiscard]] double volts(double time) const { return slope == 0 ? first : first + slope * (time - from); }
    void next() {
      piece = (piece + 1) % 4;
      const double start = d.delay + double(piece == 0 ? ++pulse : pulse) * d.period;
      const double rest = pulse > 0 && d.period <= 0 ? 1e30 : start;
      from = until;
      first = piece == 2 || piece == 3 ? d.high : d.low;
      slope = piece == 1 ? (d.high - d.low) / d.rise : piece == 3 ? (d.low - d.high) / d.fall : 0;
      until = piece == 0 ? rest : start + d.rise + (piece > 1 ? d.width : 0) + (piece > 2 ? d.fall : 0);
    }
  };
  [[nodiscard]] double next_corner() const { return std::min(drive_[0].until, drive_[1].until); }
  void pass_corner() {
    for (DriveNow& drive : drive_)
      while (drive.until <= time_) drive.next();
    settle();
  }

  latch::Values v_;
  Tube tube_;
  double tolerance_, exponent_, cold_;
  std::array<DriveNow, 2> drive_{DriveNow{v_.set}, DriveNow{v_.reset}};
  std::array<Phase, 2> phases_{};
  State at_, next_;
  Vector r_{};
  std::array<Vector, n> m_{};
  double time_ = 0, last_strike_ = 0;
  std::size_t events_ = 0;
  long steps_ = 0;
};

}  // namespace by_hand
