// SPDX-License-Identifier: MIT
#pragma once
/// P2 in closed form: in either state of the tube the reservoir's voltage is a sine, a constant and one exponential.
/// Time counts from the beginning of the present cycle of the source.

#include "outcome.hpp"
#include "rising_root.hpp"
#include "values.hpp"

namespace compare {

template <class T>
class ClosedRectifier {
 public:
  explicit ClosedRectifier(const Rectifier& values = {}) : v_(values) {}

  void run(Outcome& out) const {
    const T period = 1 / T(v_.frequency);
    Stretch dark = begin(blocked_, 0, 0);
    T ions = 0, strike = 0, out_at = 0;  // the last cycle's times serve as first guesses
    for (long cycle = 0; T(cycle) * period < T(v_.end); ++cycle, dark.start -= period) {
      const T zero = T(cycle) * period;
      strike = strikes_at(dark, ions, strike);
      if (strike < 0) continue;
      if (zero + strike >= T(v_.end)) return;
      out.note(double(zero + strike), 0, true);
      const Stretch lit = begin(conducting_, strike, volts(dark, strike));
      out_at = goes_out_at(lit, out_at);
      if (zero + out_at >= T(v_.end)) return;
      out.note(double(zero + out_at), 0, false);
      dark = begin(blocked_, out_at, volts(lit, out_at));
      ions = T(v_.tube.first_ions);
    }
  }

 private:
  /// One state of the tube: C dv/dt = siemens (source - drop - v) - v / load.
  struct State {
    T siemens, rate, in_phase, in_quarter, level;
  };
  [[nodiscard]] State state(T siemens, T drop) const {
    const T all = siemens + 1 / T(v_.load), susceptance = omega_ * T(v_.farads);
    const T gain = siemens * T(v_.peak) / (all * all + susceptance * susceptance);
    return {siemens, all / T(v_.farads), gain * all, -gain * susceptance, -siemens * drop / all};
  }
  struct Stretch {
    const State* state;
    T start, transient;
  };
  [[nodiscard]] T forced(const State& s, T t) const {
    return s.in_phase * std::sin(omega_ * t) + s.in_quarter * std::cos(omega_ * t) + s.level;
  }
  [[nodiscard]] Stretch begin(const State& s, T t, T volts) const { return {&s, t, volts - forced(s, t)}; }
  [[nodiscard]] T volts(const Stretch& s, T t) const {
    return forced(*s.state, t) + s.transient * std::exp(-s.state->rate * (t - s.start));
  }
  /// Source less reservoir, and its slope.
  [[nodiscard]] Sloped<T> across(const Stretch& s, T t) const {
    const State& now = *s.state;
    const T sine = std::sin(omega_ * t), cosine = std::cos(omega_ * t);
    const T transient = s.transient * std::exp(-now.rate * (t - s.start));
    return {(T(v_.peak) - now.in_phase) * sine - now.in_quarter * cosine - now.level - transient,
            omega_ * ((T(v_.peak) - now.in_phase) * cosine + now.in_quarter * sine) + now.rate * transient};
  }
  /// The strike within this cycle, or -1. The reservoir is above 0 and the striking voltage at least that with full
  /// ionisation, so nothing happens until the source is there; from then to the crest the source rises, the reservoir
  /// falls and ionisation is long gone, so the margin rises.
  [[nodiscard]] T strikes_at(const Stretch& dark, T ions, T guess) const {
    const T earliest = std::asin(T(v_.strike) * (1 - T(v_.tube.first_ions)) / T(v_.peak)) / omega_;
    const T share = (1 / T(v_.tube.leak)) / (1 / T(v_.tube.leak) + T(v_.series));
    const auto margin = [&](T t) {
      const Sloped<T> both = across(dark, t);
      const T lowered = T(v_.strike) * ions * std::exp(-(t - dark.start) / T(ion_time));
      return Sloped<T>{share * both.value - T(v_.strike) + lowered, share * both.slope - lowered / T(ion_time)};
    };
    const T from = std::fmax(earliest, dark.start);
    if (!(margin(crest_).value > 0)) return -1;
    return rising_root(margin, from, crest_, guess);
  }
  /// Until the crest the source rises, and the current cannot die away faster than through the reservoir, which is not
  /// fast enough; at the end of the half cycle the source is at 0 and the current has long been through its last.
  /// In between it falls.
  [[nodiscard]] T goes_out_at(const Stretch& lit, T guess) const {
    const T least = T(v_.tube.drop) + (T(v_.series) + T(v_.tube.ohms)) * T(v_.tube.holding);
    const auto margin = [&](T t) {
      const Sloped<T> both = across(lit, t);
      return Sloped<T>{least - both.value, -both.slope};
    };
    return rising_root(margin, crest_, 2 * crest_, guess);
  }

  Rectifier v_;
  T omega_ = 2 * std::acos(T(-1)) * T(v_.frequency), crest_ = 1 / (4 * T(v_.frequency));
  State blocked_ = state(1 / (T(v_.series) + 1 / T(v_.tube.leak)), 0);
  State conducting_ = state(1 / (T(v_.series) + T(v_.tube.ohms)), T(v_.tube.drop));
};

}  // namespace compare
