// SPDX-License-Identifier: MIT
#pragma once
/// P1 in closed form: the capacitor's voltage is one exponential in either state of the tube.

#include "outcome.hpp"
#include "rising_root.hpp"
#include "values.hpp"

namespace compare {

template <class T>
class ClosedOscillator {
 public:
  explicit ClosedOscillator(const Oscillator& values = {}) : v_(values) {}

  void run(Outcome& out) const {
    const T end = T(v_.end);
    T time = 0, volts = 0, ions = 0;
    for (;;) {
      const T wait = strikes_after(volts, ions);
      time += wait;
      if (time >= end) return;
      out.note(double(time), 0, true);
      volts = level_ - (level_ - volts) * std::exp(-rate_ * wait);
      time += goes_out_after(volts);
      if (time >= end) return;
      out.note(double(time), 0, false);
      volts = last_;
      ions = T(v_.tube.first_ions);
    }
  }

 private:
  /// The first time at which the rising voltage meets the striking voltage, both moving. Without residual ionisation it
  /// is a logarithm; ionisation only makes it earlier. The margin between the two falls at most once and then rises,
  /// for good, so from below zero it crosses zero once.
  [[nodiscard]] T strikes_after(T volts, T ions) const {
    const T range = level_ - volts, strike = T(v_.strike);
    if (volts >= strike * (1 - ions)) return 0;
    const T latest = std::log(range / (level_ - strike)) / rate_;
    if (ions == 0) return latest;
    const auto margin = [&](T t) {
      const T missing = range * std::exp(-rate_ * t), lowered = strike * ions * std::exp(-t / T(ion_time));
      return Sloped<T>{level_ - strike - missing + lowered, rate_ * missing - lowered / T(ion_time)};
    };
    return rising_root(margin, T(0), latest * (1 + T(1e-9)), latest);
  }
  [[nodiscard]] T goes_out_after(T volts) const {
    return std::log((volts - lit_level_) / (last_ - lit_level_)) / lit_rate_;
  }

  Oscillator v_;
  T conductance_ = 1 / T(v_.series) + T(v_.tube.leak);
  T rate_ = conductance_ / T(v_.farads), level_ = T(v_.supply) / T(v_.series) / conductance_;
  T lit_conductance_ = 1 / T(v_.series) + 1 / T(v_.tube.ohms);
  T lit_rate_ = lit_conductance_ / T(v_.farads);
  T lit_level_ = (T(v_.supply) / T(v_.series) + T(v_.tube.drop) / T(v_.tube.ohms)) / lit_conductance_;
  T last_ = T(v_.tube.drop) + T(v_.tube.ohms) * T(v_.tube.holding);
};

}  // namespace compare
