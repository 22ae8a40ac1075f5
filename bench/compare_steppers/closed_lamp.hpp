// SPDX-License-Identifier: MIT
#pragma once
/// P4: everything but the filament's temperature is in closed form; that is a Taylor series, taken to round-off.

#include "lag.hpp"
#include "outcome.hpp"
#include "rising_root.hpp"

#include <algorithm>
#include <array>

namespace compare {

template <class T>
class ClosedLamp {
 public:
  explicit ClosedLamp(const LampLatch& values = {}) : v_(values) {}

  void run(Outcome& out) {
    begin();
    for (;;) {
      const bool set_first = set_.next() < reset_.next();
      const T edge = set_first ? set_.next() : reset_.next(), corner = std::fmin(edge, T(v_.end));
      go_to(corner, out);
      if (edge >= T(v_.end)) break;
      if (set_first) {
        set_.pass();
        grid_.target = set_.high() ? 0 : T(v_.grid.rest);
      } else {
        reset_.pass();
        supply_.target = reset_.high() ? 0 : T(v_.supply);
      }
    }
    out.temperature = double(heat_);
  }

 private:
  static constexpr std::size_t order = std::numeric_limits<T>::digits > 53 ? 28 : 24;
  using Series = std::array<T, order + 1>;

  void begin() {
    time_ = ions_ = 0;
    heat_ = T(v_.start);
    lit_ = false;
    set_ = PulseWalk<T>(v_.set);
    reset_ = PulseWalk<T>(v_.reset);
    supply_ = {T(v_.supply), T(v_.supply), T(v_.supply_lag)};
    grid_ = {T(v_.grid.rest), T(v_.grid.rest), T(v_.grid.lag)};
  }
  /// Time counts from `time_`, the last edge or event; several series make up a stretch.
  void go_to(T corner, Outcome& out) {
    T length = corner - time_, since = 0;
    while (since < length) {
      if (settled(supply_, since)) supply_.value = supply_.target;
      expand(since);
      const T step = std::fmin(reach(), length - since);
      const T event = event_within(since, step);
      const T taken = std::fmin(step, event);
      heat_ = value(heat_series_, taken);
      since += taken;
      if (event > step) continue;
      advance(since);
      time_ += since;
      length = corner - time_;
      since = 0;
      lit_ = !lit_;
      if (!lit_) ions_ = T(v_.tube.first_ions);
      out.note(double(time_), 0, lit_);
    }
    advance(length);
    time_ = corner;
  }
  void advance(T t) {
    supply_.advance(t);
    grid_.advance(t);
    ions_ *= std::exp(-t / T(ion_time));
  }
  [[nodiscard]] static bool settled(const Lag<T>& lag, T since) { return since > 50 * lag.time; }

  [[nodiscard]] T drop() const { return lit_ ? T(v_.tube.drop) : 0; }
  [[nodiscard]] T ohms() const { return T(v_.series) + (lit_ ? T(v_.tube.ohms) : 1 / T(v_.tube.leak)); }

  /// The temperature's series about `since`. With u = supply - drop and y = ohms + filament x:
  ///   heat_time x' = filament (u / y)^2 x / hot_power - x^4 + cold
  void expand(T since) {
    Series &x = heat_series_, i{}, y{}, square{}, fourth{}, power{};
    T u = supply_.at(since) - drop(), away = u - (supply_.target - drop());
    x[0] = heat_;
    const T heating = T(v_.filament) / T(v_.hot_power());
    for (std::size_t n = 0; n < order; ++n) {
      y[n] = T(v_.filament) * x[n] + (n == 0 ? ohms() : 0);
      T rest = u;
      for (std::size_t j = 1; j <= n; ++j) rest -= y[j] * i[n - j];
      i[n] = rest / y[0];
      square[n] = product(x, x, n);
      fourth[n] = product(square, square, n);
      power[n] = product(i, i, n);
      x[n + 1] =
          (heating * product(power, x, n) - fourth[n] + (n == 0 ? T(v_.cold) : 0)) / (T(v_.heat_time) * T(n + 1));
      away /= -supply_.time * T(n + 1);
      u = away;
    }
  }
  [[nodiscard]] static T product(const Series& a, const Series& b, std::size_t n) {
    T sum = 0;
    for (std::size_t j = 0; j <= n; ++j) sum += a[j] * b[n - j];
    return sum;
  }
  /// How far the last terms stay below round-off.
  [[nodiscard]] T reach() const {
    const T small = std::numeric_limits<T>::epsilon() / 4 * heat_;
    const T last = std::fabs(heat_series_[order]), before = std::fabs(heat_series_[order - 1]);
    const T by_last = last > 0 ? std::pow(small / last, 1 / T(order)) : T(1e30);
    const T by_before = before > 0 ? std::pow(small / before, 1 / T(order - 1)) : T(1e30);
    return std::fmin(by_last, by_before);
  }
  [[nodiscard]] static T value(const Series& s, T t) {
    T sum = s[order];
    for (std::size_t n = order; n-- > 0;) sum = sum * t + s[n];
    return sum;
  }
  [[nodiscard]] static T slope(const Series& s, T t) {
    T sum = T(order) * s[order];
    for (std::size_t n = order; --n > 0;) sum = sum * t + T(n) * s[n];
    return sum;
  }

  /// Negative while the tube's state lasts; t from the series' beginning.
  [[nodiscard]] Sloped<T> margin(T since, T t) const {
    const T x = value(heat_series_, t), u = supply_.at(since + t) - drop(), all = ohms() + T(v_.filament) * x;
    const T amperes = u / all;
    const T slope_now = (supply_.slope(since + t) - amperes * T(v_.filament) * slope(heat_series_, t)) / all;
    if (lit_) return {T(v_.tube.holding) - amperes, -slope_now};
    const T ions = ions_ * std::exp(-(since + t) / T(ion_time));
    const T strike = T(v_.grid.strike) - T(v_.grid.gain) * grid_.at(since + t);
    const T strike_slope = -T(v_.grid.gain) * grid_.slope(since + t);
    return {amperes / T(v_.tube.leak) - strike * (1 - ions),
            slope_now / T(v_.tube.leak) - strike_slope * (1 - ions) - strike * ions / T(ion_time)};
  }
  /// When the state ends, or more than `step`. While a supply or grid moves, the margin moves one way but for what the
  /// filament adds, and that is slow; pieces of a lag's length catch both.
  [[nodiscard]] T event_within(T since, T step) const {
    T low = 0;
    for (;;) {
      const bool moving = since + low < 40 * std::fmax(T(v_.supply_lag), std::fmax(T(v_.grid.lag), T(ion_time)));
      const T high = moving ? std::fmin(step, low + T(v_.supply_lag)) : step;
      if (margin(since, high).value >= 0)
        return rising_root([&](T t) { return margin(since, t); }, low, high, (low + high) / 2);
      if (!(high < step)) return 2 * step;
      low = high;
    }
  }

  LampLatch v_;
  Lag<T> supply_{}, grid_{};
  PulseWalk<T> set_{v_.set}, reset_{v_.reset};
  Series heat_series_{};
  T time_ = 0, ions_ = 0, heat_ = 0;
  bool lit_ = false;
};

}  // namespace compare
