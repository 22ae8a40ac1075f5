// SPDX-License-Identifier: MIT
#pragma once
/// P5 for solvers that know right-hand sides only; see ode_forms.hpp.

#include "ode_forms.hpp"

#include <vector>

namespace compare {

/// Solves C v = b for the ring's capacitances: a band that closes on itself, by elimination and one correction.
template <class T>
class RingCapacitances {
 public:
  explicit RingCapacitances(const Ring& v)
      : own_(T(v.ground) + 2 * T(v.coupling))
      , between_(-T(v.coupling))
      , factor_(v.count)
      , pivot_(v.count)
      , column_(v.count) {
    // The corners are taken off as between/gamma times a product of two vectors, with gamma = -own.
    const std::size_t n = v.count;
    for (std::size_t k = 0; k < n; ++k) {
      const T here = own_ + (k == 0 ? own_ : k + 1 == n ? between_ * between_ / own_ : 0);
      factor_[k] = k == 0 ? 0 : between_ * pivot_[k - 1];
      pivot_[k] = 1 / (here - factor_[k] * (k == 0 ? 0 : between_));
      column_[k] = 0;
    }
    column_[0] = -own_;
    column_[n - 1] = between_;
    band(column_.data());
    tail_ = between_ / -own_;
    share_ = 1 / (1 + column_[0] + tail_ * column_[n - 1]);
  }
  void solve(T* b) const {
    band(b);
    const std::size_t n = pivot_.size();
    const T part = (b[0] + tail_ * b[n - 1]) * share_;
    for (std::size_t k = 0; k < n; ++k) b[k] -= part * column_[k];
  }

 private:
  void band(T* b) const {
    const std::size_t n = pivot_.size();
    for (std::size_t k = 1; k < n; ++k) b[k] -= factor_[k] * b[k - 1];
    b[n - 1] *= pivot_[n - 1];
    for (std::size_t k = n - 1; k-- > 0;) b[k] = (b[k] - between_ * b[k + 1]) * pivot_[k];
  }
  T own_, between_, tail_ = 0, share_ = 0;
  std::vector<T> factor_, pivot_, column_;
};

/// States: cathodes, then what prepares each tube.
template <class T>
class RingOde : public OdeClock<T> {
 public:
  static constexpr std::size_t extent = 0;  // known at run time only
  explicit RingOde(const Ring& values) : v_(values), n_(values.count), capacitances_(values), tubes_(n_), inverse_(n_) {
    tubes_[0].lit = true;
    inverse_[0] = 1;  // all columns of the inverse are this one, turned
    capacitances_.solve(inverse_.data());
  }
  [[nodiscard]] std::size_t states() const { return 2 * n_; }
  [[nodiscard]] std::size_t guards() const { return n_; }
  [[nodiscard]] std::size_t count() const { return n_; }
  [[nodiscard]] const Ring& values() const { return v_; }
  [[nodiscard]] T end() const { return T(v_.end()); }
  [[nodiscard]] bool lit(std::size_t k) const { return tubes_[k].lit; }
  void start(T* x) const {
    for (std::size_t k = 0; k < n_; ++k) {
      x[k] = T(v_.steady(k == 0));
      x[n_ + k] = 0;
    }
  }
  /// A into cathode k.
  [[nodiscard]] T amperes(std::size_t k, T volts) const {
    return T(v_.supply) * this->siemens(tubes_[k], v_.tube) - this->arc(tubes_[k], v_.tube) - siemens_at(k) * volts;
  }
  [[nodiscard]] T siemens_at(std::size_t k) const { return 1 / T(v_.cathode) + this->siemens(tubes_[k], v_.tube); }
  void rhs(T, const T* x, T* dx) const {
    for (std::size_t k = 0; k < n_; ++k) dx[k] = amperes(k, x[k]);
    capacitances_.solve(dx);
    const T rate = 1 / T(v_.prepare_lag);
    dx[n_] = (x[n_ - 1] - x[n_]) * rate;
    for (std::size_t k = 1; k < n_; ++k) dx[n_ + k] = (x[k - 1] - x[n_ + k]) * rate;
  }
  void slopes(T, const T*, T* j) const {
    const std::size_t all = 2 * n_;
    for (std::size_t k = 0; k < all * all; ++k) j[k] = 0;
    for (std::size_t k = 0; k < n_; ++k) {
      for (std::size_t m = 0; m < n_; ++m) j[k * all + m] = -inverse_[k >= m ? k - m : k + n_ - m] * siemens_at(m);
      j[(n_ + k) * all + n_ + k] = -1 / T(v_.prepare_lag);
      j[(n_ + k) * all + (k == 0 ? n_ - 1 : k - 1)] = 1 / T(v_.prepare_lag);
    }
  }
  void margins(T t, const T* x, T* g) const {
    const T faded = this->faded(t), pulse = pulse_.at(t);
    for (std::size_t k = 0; k < n_; ++k) g[k] = margin_of(k, x[k], x[n_ + k], pulse, faded);
  }
  /// The same with the states in any order, by cathode k.
  template <class Volts, class Prepared>
  void margins_by(T t, Volts&& volts, Prepared&& prepared, T* g) const {
    const T faded = this->faded(t), pulse = pulse_.at(t);
    for (std::size_t k = 0; k < n_; ++k) g[k] = margin_of(k, volts(k), prepared(k), pulse, faded);
  }
  [[nodiscard]] T next_corner() const { return walk_.next() - this->time_; }
  void pass_corner() {
    this->time_ = walk_.next();
    walk_.pass();
    pulse_.target = walk_.high() ? T(v_.pulse) : 0;
  }
  void advance(T t) {
    this->advance_clock(t, tubes_.data(), n_);
    pulse_.advance(t);
  }
  void fire(std::size_t k) { this->toggle(tubes_[k], v_.tube); }

 private:
  [[nodiscard]] T margin_of(std::size_t k, T volts, T prepared, T pulse, T faded) const {
    return this->margin(tubes_[k], v_.tube, T(v_.supply) - volts, T(v_.strike) - prepared - T(v_.gain) * pulse, faded,
                        T(v_.floor));
  }
  Ring v_;
  std::size_t n_;
  RingCapacitances<T> capacitances_;
  std::vector<typename OdeClock<T>::TubeNow> tubes_;
  std::vector<T> inverse_;
  Lag<T> pulse_{0, 0, T(v_.pulse_lag)};
  PulseWalk<T> walk_{v_.pulses};
};

}  // namespace compare
