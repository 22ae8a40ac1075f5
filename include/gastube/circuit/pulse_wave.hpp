// SPDX-License-Identifier: MIT
#pragma once
/// A pulse, a train of so many, or one without end.

#include "gastube/circuit/waveform.hpp"

namespace gastube {

/// Rests at `low`, goes to `high` at `delay` for `width`, and again every `period`. Edges are straight ramps, or jumps.
template <Real S>
struct PulseWave {
  using Scalar = S;
  S low;            ///< V or A at rest
  S high;           ///< V or A during the pulse
  S delay;          ///< s until the first rising edge begins, at least 0
  S width;          ///< s at `high`, above 0
  S period = S(0);  ///< s from edge to edge, at least rise + width + fall; 0: a single pulse
  S rise = S(0);    ///< s, at least 0
  S fall = S(0);    ///< s, at least 0
  long count = 0;   ///< pulses, at least 0; 0: without end (with period 0 one)
  /// Which stretch of which pulse: 0 rest before, 1 rise, 2 high, 3 fall.
  struct Memory {
    long pulse = 0;
    int stretch = 0;
  };

  void check(const Check& check) const {
    const S busy = S(rise + width + fall);
    check.finite("low", low, "V")
        .finite("high", high, "V")
        .at_least("delay", delay, 0.0, "s")
        .above("width", width, 0.0, "s")
        .at_least("rise", rise, 0.0, "s")
        .at_least("fall", fall, 0.0, "s")
        .at_least("period", period, 0.0, "s")
        .that(value_of(period) == 0 || value_of(period) >= value_of(busy), "period", period, "s",
              "0 for a single pulse, or at least rise + width + fall")
        .at_least("count", double(count), 0.0, "");
    if (count > 1) check.above("period", period, 0.0, "s");
  }
  [[nodiscard]] Memory memory(const S& time) const {
    Memory m;
    pass_breakpoint(time, m);
    return m;
  }
  [[nodiscard]] S next_breakpoint(const S&, const Memory& m) const {
    const bool single = value_of(period) == Plain<S>(0);
    if (m.pulse > 0 && (single || m.pulse == count)) return unlimited<S>();
    return end_of(m);
  }
  void pass_breakpoint(const S& time, Memory& m) const {
    while (value_of(next_breakpoint(time, m)) <= value_of(time)) {
      m.stretch = (m.stretch + 1) % 4;
      if (m.stretch == 0) ++m.pulse;
    }
  }
  [[nodiscard]] S value(const S& time, const Memory& m) const {
    switch (m.stretch) {
    case 1: return ramp(low, high, S(time - first_edge(m)), rise);
    case 2: return high;
    case 3: return ramp(high, low, S(time - first_edge(m) - rise - width), fall);
    default: return low;
    }
  }
  [[nodiscard]] Drive<S> drive(const S& time, const Memory& m) const {
    const S step = S(high - low);
    const S slope = m.stretch == 1 ? S(step / rise) : m.stretch == 3 ? S(-step / fall) : S(0);
    return {.level = value(time, m), .slope = slope};
  }

 private:
  [[nodiscard]] S first_edge(const Memory& m) const { return S(delay + S(Plain<S>(m.pulse)) * period); }
  [[nodiscard]] S end_of(const Memory& m) const {
    const S start = first_edge(m);
    switch (m.stretch) {
    case 0: return start;
    case 1: return S(start + rise);
    case 2: return S(start + rise + width);
    default: return S(start + rise + width + fall);
    }
  }
  [[nodiscard]] static S ramp(const S& from, const S& to, const S& since, const S& length) {
    return S(from + (to - from) * math::clamp(S(since / length), S(0), S(1)));
  }
};
static_assert(Waveform<PulseWave<double>>);

}  // namespace gastube
