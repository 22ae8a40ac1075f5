// SPDX-License-Identifier: MIT
#pragma once
/// The problems as right-hand sides, slopes and margins, for solvers that know no more than that. Residual ionisation
/// and the lags behind grids, supply and pulses are in closed form here: help that any user of such a solver would
/// give.
///
/// Time counts from the last event or corner. A form offers
///   states(), guards(), start(x), rhs(t, x, dx), slopes(t, x, j) (row-major), margins(t, x, g) (positive while the
///   state of the tubes lasts), next_corner(), pass_corner(), advance(t) (moves the origin of time), fire(k), lit(k),
///   time(), end(), longest_step(), first_step().
/// C++17, since not every peer can be compiled as more.

#include "lag.hpp"

#include <array>
#include <vector>

namespace compare {

/// What all forms share: the clock, and ionisation tube by tube.
template <class T>
class OdeClock {
 public:
  [[nodiscard]] T time() const { return time_; }
  [[nodiscard]] T longest_step() const { return T(1e30); }
  /// s, after a start, an event or a corner: as in gastube's own settings.
  [[nodiscard]] T first_step() const { return T(1e-8); }
  [[nodiscard]] T next_corner() const { return T(1e30); }
  void pass_corner() {}

 protected:
  struct TubeNow {
    bool lit = false;
    T ions = 0;
  };
  void advance_clock(T t, TubeNow* tubes, std::size_t count) {
    time_ += t;
    const T kept = std::exp(-t / T(ion_time));
    for (std::size_t k = 0; k < count; ++k) tubes[k].ions *= kept;
  }
  static void toggle(TubeNow& tube, const TubeValues& values) {
    tube.lit = !tube.lit;
    if (!tube.lit) tube.ions = T(values.first_ions);
  }
  /// Positive while a tube's state lasts.
  [[nodiscard]] static T margin(const TubeNow& tube, const TubeValues& values, T volts, T strike, T faded,
                                T floor = 0) {
    if (tube.lit) return (volts - T(values.drop)) / T(values.ohms) - T(values.holding);
    return floor + (strike - floor) * (1 - tube.ions * faded) - volts;
  }
  [[nodiscard]] static T siemens(const TubeNow& tube, const TubeValues& values) {
    return tube.lit ? 1 / T(values.ohms) : T(values.leak);
  }
  [[nodiscard]] static T arc(const TubeNow& tube, const TubeValues& values) {
    return tube.lit ? T(values.drop) / T(values.ohms) : T(0);
  }
  [[nodiscard]] static T faded(T t) { return std::exp(-t / T(ion_time)); }

  T time_ = 0;
};

template <class T>
class OscillatorOde : public OdeClock<T> {
 public:
  static constexpr std::size_t extent = 1;
  [[nodiscard]] std::size_t states() const { return 1; }
  [[nodiscard]] std::size_t guards() const { return 1; }
  [[nodiscard]] T end() const { return T(v_.end); }
  [[nodiscard]] bool lit(std::size_t) const { return tube_.lit; }
  void start(T* x) const { x[0] = 0; }
  void rhs(T, const T* x, T* dx) const {
    const T drained = this->siemens(tube_, v_.tube) * x[0] - this->arc(tube_, v_.tube);
    dx[0] = ((T(v_.supply) - x[0]) / T(v_.series) - drained) / T(v_.farads);
  }
  void slopes(T, const T*, T* j) const { j[0] = -(1 / T(v_.series) + this->siemens(tube_, v_.tube)) / T(v_.farads); }
  void margins(T t, const T* x, T* g) const { g[0] = this->margin(tube_, v_.tube, x[0], T(v_.strike), this->faded(t)); }
  void advance(T t) { this->advance_clock(t, &tube_, 1); }
  void fire(std::size_t) { this->toggle(tube_, v_.tube); }

 private:
  Oscillator v_;
  typename OdeClock<T>::TubeNow tube_;
};

template <class T>
class RectifierOde : public OdeClock<T> {
 public:
  static constexpr std::size_t extent = 1;
  [[nodiscard]] std::size_t states() const { return 1; }
  [[nodiscard]] std::size_t guards() const { return 1; }
  [[nodiscard]] T end() const { return T(v_.end); }
  [[nodiscard]] bool lit(std::size_t) const { return tube_.lit; }
  /// Without this cap the crest is stepped over.
  [[nodiscard]] T longest_step() const { return 1 / (32 * T(v_.frequency)); }
  void start(T* x) const { x[0] = 0; }
  void rhs(T t, const T* x, T* dx) const { dx[0] = (amperes(t, x[0]) - x[0] / T(v_.load)) / T(v_.farads); }
  void slopes(T, const T*, T* j) const {
    j[0] = -(1 / (T(v_.series) + 1 / this->siemens(tube_, v_.tube)) + 1 / T(v_.load)) / T(v_.farads);
  }
  void margins(T t, const T* x, T* g) const {
    const T volts = amperes(t, x[0]) / this->siemens(tube_, v_.tube) + drop();
    g[0] = this->margin(tube_, v_.tube, volts, T(v_.strike), this->faded(t));
  }
  void advance(T t) { this->advance_clock(t, &tube_, 1); }
  void fire(std::size_t) { this->toggle(tube_, v_.tube); }

 private:
  [[nodiscard]] T drop() const { return tube_.lit ? T(v_.tube.drop) : 0; }
  [[nodiscard]] T amperes(T t, T volts) const {
    const T source = T(v_.peak) * std::sin(omega_ * (this->time_ + t));
    return (source - volts - drop()) / (T(v_.series) + 1 / this->siemens(tube_, v_.tube));
  }
  Rectifier v_;
  T omega_ = 2 * std::acos(T(-1)) * T(v_.frequency);
  typename OdeClock<T>::TubeNow tube_;
};

/// What P3 and P3s share: two tubes with pulsed grids.
template <class T>
class FlipFlopOdeBase : public OdeClock<T> {
 public:
  explicit FlipFlopOdeBase(const FlipFlop& values) : v_(values) {}
  [[nodiscard]] std::size_t guards() const { return 2; }
  [[nodiscard]] T end() const { return T(v_.end); }
  [[nodiscard]] bool lit(std::size_t k) const { return tubes_[k].lit; }
  [[nodiscard]] T next_corner() const { return std::fmin(walks_[0].next(), walks_[1].next()) - this->time_; }
  void pass_corner() {
    const std::size_t k = walks_[0].next() < walks_[1].next() ? 0 : 1;
    this->time_ = walks_[k].next();
    walks_[k].pass();
    grids_[k].target = walks_[k].high() ? 0 : T(v_.grid.rest);
  }
  void advance(T t) {
    this->advance_clock(t, tubes_.data(), 2);
    for (Lag<T>& grid : grids_) grid.advance(t);
  }
  void fire(std::size_t k) { this->toggle(tubes_[k], v_.tube); }

 protected:
  [[nodiscard]] T all_siemens(std::size_t k) const { return 1 / T(v_.plate) + this->siemens(tubes_[k], v_.tube); }
  [[nodiscard]] T feed(std::size_t k) const { return T(v_.supply) / T(v_.plate) + this->arc(tubes_[k], v_.tube); }
  void margins_of(T t, const T* plates, T* g) const {
    const T faded = this->faded(t);
    for (std::size_t k = 0; k < 2; ++k)
      g[k] = this->margin(tubes_[k], v_.tube, plates[k], T(v_.grid.strike) - T(v_.grid.gain) * grids_[k].at(t), faded);
  }

  FlipFlop v_;
  std::array<typename OdeClock<T>::TubeNow, 2> tubes_{};
  std::array<Lag<T>, 2> grids_{Lag<T>{T(v_.grid.rest), T(v_.grid.rest), T(v_.grid.lag)},
                               Lag<T>{T(v_.grid.rest), T(v_.grid.rest), T(v_.grid.lag)}};
  std::array<PulseWalk<T>, 2> walks_{PulseWalk<T>(v_.pulses(0)), PulseWalk<T>(v_.pulses(1))};
};

/// State: the coupling capacitor's voltage, first plate against second.
template <class T>
class FlipFlopOde : public FlipFlopOdeBase<T> {
 public:
  FlipFlopOde() : FlipFlopOdeBase<T>(flip_flop) {}
  static constexpr std::size_t extent = 1;
  [[nodiscard]] std::size_t states() const { return 1; }
  void start(T* x) const { x[0] = 0; }
  void rhs(T, const T* x, T* dx) const {
    dx[0] = (this->feed(0) - this->all_siemens(0) * plates(x[0])[0]) / T(this->v_.coupling);
  }
  void slopes(T, const T*, T* j) const {
    const T a = this->all_siemens(0), b = this->all_siemens(1);
    j[0] = -a * b / (a + b) / T(this->v_.coupling);
  }
  void margins(T t, const T* x, T* g) const { this->margins_of(t, plates(x[0]).data(), g); }

 private:
  [[nodiscard]] std::array<T, 2> plates(T coupled) const {
    const T a = this->all_siemens(0), b = this->all_siemens(1);
    const T second = (this->feed(0) + this->feed(1) - a * coupled) / (a + b);
    return {second + coupled, second};
  }
};

/// States: both plates.
template <class T>
class StrayFlipFlopOde : public FlipFlopOdeBase<T> {
 public:
  StrayFlipFlopOde() : FlipFlopOdeBase<T>(stray_flip_flop) {}
  /// From a longer one CVODE finds no way at 1e-9.
  [[nodiscard]] T first_step() const { return T(1e-11); }
  static constexpr std::size_t extent = 2;
  [[nodiscard]] std::size_t states() const { return 2; }
  void start(T* x) const { x[0] = x[1] = 0; }
  void rhs(T, const T* x, T* dx) const {
    const T first = this->feed(0) - this->all_siemens(0) * x[0], second = this->feed(1) - this->all_siemens(1) * x[1];
    dx[0] = (own_ * first + between_ * second) / determinant_;
    dx[1] = (between_ * first + own_ * second) / determinant_;
  }
  void slopes(T, const T*, T* j) const {
    const T a = -this->all_siemens(0) / determinant_, b = -this->all_siemens(1) / determinant_;
    j[0] = own_ * a;
    j[1] = between_ * b;
    j[2] = between_ * a;
    j[3] = own_ * b;
  }
  void margins(T t, const T* x, T* g) const { this->margins_of(t, x, g); }

 private:
  T own_ = T(this->v_.stray) + T(this->v_.coupling), between_ = T(this->v_.coupling);
  T determinant_ = T(this->v_.stray) * (T(this->v_.stray) + 2 * between_);
};

/// State: the filament's temperature; with `SupplyIsState` the lagged supply too, for solvers that are not to see time.
template <class T, bool SupplyIsState = false>
class LampOde : public OdeClock<T> {
 public:
  static constexpr std::size_t extent = SupplyIsState ? 2 : 1;
  explicit LampOde(const LampLatch& values = {}) : v_(values) {}
  [[nodiscard]] std::size_t states() const { return extent; }
  [[nodiscard]] std::size_t guards() const { return 1; }
  [[nodiscard]] T end() const { return T(v_.end); }
  [[nodiscard]] bool lit(std::size_t) const { return tube_.lit; }
  void start(T* x) const {
    x[0] = T(v_.start);
    if constexpr (SupplyIsState) x[1] = T(v_.supply);
  }
  void rhs(T t, const T* x, T* dx) const {
    const T i = amperes(supply(t, x), x[0]), square = x[0] * x[0];
    dx[0] = (heating_ * i * i * x[0] - square * square + T(v_.cold)) / T(v_.heat_time);
    if constexpr (SupplyIsState) dx[1] = (supply_.target - x[1]) / supply_.time;
  }
  void slopes(T t, const T* x, T* j) const {
    const T all = ohms() + T(v_.filament) * x[0], i = amperes(supply(t, x), x[0]);
    j[0] = (heating_ * i * i * (1 - 2 * T(v_.filament) * x[0] / all) - 4 * x[0] * x[0] * x[0]) / T(v_.heat_time);
    if constexpr (SupplyIsState) {
      j[1] = 2 * heating_ * i * x[0] / all / T(v_.heat_time);
      j[2] = 0;
      j[3] = -1 / supply_.time;
    }
  }
  void margins(T t, const T* x, T* g) const {
    const T strike = T(v_.grid.strike) - T(v_.grid.gain) * grid_.at(t);
    const T volts = amperes(supply(t, x), x[0]) / this->siemens(tube_, v_.tube) + drop();
    g[0] = this->margin(tube_, v_.tube, volts, strike, this->faded(t));
  }
  [[nodiscard]] T next_corner() const { return std::fmin(set_.next(), reset_.next()) - this->time_; }
  void pass_corner() {
    const bool set = set_.next() < reset_.next();
    this->time_ = set ? set_.next() : reset_.next();
    (set ? set_ : reset_).pass();
    grid_.target = set_.high() ? 0 : T(v_.grid.rest);
    supply_.target = reset_.high() ? 0 : T(v_.supply);
  }
  void advance(T t) {
    this->advance_clock(t, &tube_, 1);
    supply_.advance(t);
    grid_.advance(t);
  }
  void fire(std::size_t) { this->toggle(tube_, v_.tube); }

 private:
  [[nodiscard]] T drop() const { return tube_.lit ? T(v_.tube.drop) : 0; }
  [[nodiscard]] T ohms() const { return T(v_.series) + 1 / this->siemens(tube_, v_.tube); }
  [[nodiscard]] T supply(T t, const T* x) const {
    if constexpr (SupplyIsState)
      return static_cast<void>(t), x[1];
    else
      return static_cast<void>(x), supply_.at(t);
  }
  [[nodiscard]] T amperes(T supply, T x) const { return (supply - drop()) / (ohms() + T(v_.filament) * x); }

  LampLatch v_;
  T heating_ = T(v_.filament) / T(v_.hot_power());
  typename OdeClock<T>::TubeNow tube_;
  Lag<T> supply_{T(v_.supply), T(v_.supply), T(v_.supply_lag)}, grid_{T(v_.grid.rest), T(v_.grid.rest), T(v_.grid.lag)};
  PulseWalk<T> set_{v_.set}, reset_{v_.reset};
};

}  // namespace compare
