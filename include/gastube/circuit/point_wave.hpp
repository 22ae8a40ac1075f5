// SPDX-License-Identifier: MIT
#pragma once
/// Waveforms through points: a few of them, a single ramp, or the samples of a recording.

#include "gastube/circuit/waveform.hpp"

#include <span>

namespace gastube {

template <Real S>
struct TimedValue {
  S time;   ///< s
  S value;  ///< V or A
};

/// Samples at equal intervals, as columns of a file hold them. They are not copied: keep them while the circuit lives.
template <Real S>
struct RegularSamples {
  S first;     ///< s, time of the first sample
  S interval;  ///< s, above 0
  std::span<const S> values;

  [[nodiscard]] std::size_t size() const { return values.size(); }
  [[nodiscard]] TimedValue<S> operator[](std::size_t k) const {
    return {S(first + interval * S(Plain<S>(k))), values[k]};
  }
};

/// What lies between two points.
enum class Between {
  linear,  ///< a straight line
  held,    ///< the value of the earlier point
};

/// Through points in order of time; two at one time are a jump. Before the first and after the last it stays. Each
/// point is a breakpoint, so no detail is stepped over; ten thousand samples cost at least ten thousand steps.
/// @tparam Points has size() and points[k] with time and value: an array, a vector, a span, RegularSamples
template <Real S, class Points>
struct PointWave {
  using Scalar = S;
  Points points;  ///< at least 1
  Between between = Between::linear;
  /// Points passed.
  struct Memory {
    std::size_t passed = 0;
  };

  void check(const Check& check) const {
    check.at_least("number of points", double(points.size()), 1.0, "");
    for (std::size_t k = 0; k < points.size(); ++k) {
      const TimedValue<S> point = points[k];
      check.finite("point time", point.time, "s").finite("point value", point.value, "");
      if (k > 0) check.at_least("point time", point.time, double(value_of(TimedValue<S>(points[k - 1]).time)), "s");
    }
  }
  [[nodiscard]] Memory memory(const S& time) const {
    Memory m;
    pass_breakpoint(time, m);
    return m;
  }
  [[nodiscard]] S next_breakpoint(const S&, const Memory& m) const {
    return m.passed < points.size() ? TimedValue<S>(points[m.passed]).time : unlimited<S>();
  }
  void pass_breakpoint(const S& time, Memory& m) const {
    while (value_of(next_breakpoint(time, m)) <= value_of(time)) ++m.passed;
  }
  [[nodiscard]] S value(const S& time, const Memory& m) const {
    if (m.passed == 0) return TimedValue<S>(points[0]).value;
    const TimedValue<S> last = points[m.passed - 1];
    if (m.passed == points.size() || between == Between::held) return last.value;
    const TimedValue<S> next = points[m.passed];  // later than `last`: both are passed at once otherwise
    const S share = math::clamp(S((time - last.time) / (next.time - last.time)), S(0), S(1));
    return S(last.value + (next.value - last.value) * share);
  }
  [[nodiscard]] Drive<S> drive(const S& time, const Memory& m) const {
    const bool stays = m.passed == 0 || m.passed == points.size() || between == Between::held;
    if (stays) return {.level = value(time, m)};
    const TimedValue<S> last = points[m.passed - 1], next = points[m.passed];
    return {.level = value(time, m), .slope = S((next.value - last.value) / (next.time - last.time))};
  }
};

/// Through N points given here.
template <Real S, std::size_t N>
[[nodiscard]] PointWave<S, std::array<TimedValue<S>, N>> through(const TimedValue<S> (&points)[N]) {
  PointWave<S, std::array<TimedValue<S>, N>> wave{};
  for (std::size_t k = 0; k < N; ++k) wave.points[k] = points[k];
  return wave;
}
/// Through samples held elsewhere, which must live as long as the circuit.
template <Real S>
[[nodiscard]] PointWave<S, std::span<const TimedValue<S>>> sampled(std::span<const TimedValue<S>> samples,
                                                                   Between between = Between::linear) {
  return {samples, between};
}
template <Real S>
[[nodiscard]] PointWave<S, RegularSamples<S>> sampled(const RegularSamples<S>& samples,
                                                      Between between = Between::linear) {
  Check{"samples"}.above("interval", samples.interval, 0.0, "s");
  return {samples, between};
}
/// One straight ramp from `low` to `high` that begins at `begin` and lasts `length` s; 0 is a step.
template <Real S>
[[nodiscard]] PointWave<S, std::array<TimedValue<S>, 2>> ramp(const S& low, const S& high, const S& begin,
                                                              const S& length) {
  Check{"ramp"}.at_least("length", length, 0.0, "s");
  return {{{{begin, low}, {S(begin + length), high}}}, Between::linear};
}

}  // namespace gastube
