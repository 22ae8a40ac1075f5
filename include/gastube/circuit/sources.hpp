// SPDX-License-Identifier: MIT
#pragma once
/// Voltage sources: steady, sine, pulse. Each holds node `plus` at its voltage above node `minus`, at any current.

#include "gastube/circuit/part.hpp"
#include "gastube/support/checked.hpp"

#include <numbers>

namespace gastube {

namespace detail {
/// The equations shared by all ideal voltage sources. Own unknown: the current drawn from `plus` into the source.
template <Real S>
void hold_voltage(PartEquations<S>& eq, Node plus, Node minus, const S& volts) {
  eq.branch(plus, minus, 0);
  eq.own_voltage(0, plus, minus);
  eq.own_flow(0, S(-volts));
}
}  // namespace detail

/// Steady voltage.
template <Real S>
struct DcSource {
  using Scalar = S;
  static constexpr bool piecewise_linear = true;
  static constexpr std::size_t own_unknowns = 1;
  Node plus, minus;
  S voltage;  ///< V
  const char* label = "dc source";

  /// @throws InvalidParameter
  DcSource(Node positive, Node negative, const S& volts) : plus(positive), minus(negative), voltage(volts) {
    Check{label}.finite("voltage", voltage, "V");
  }
  [[nodiscard]] std::array<Node, 2> terminals() const { return {plus, minus}; }
  [[nodiscard]] Plain<S> nominal(std::size_t) const { return Plain<S>(1e-3); }
  void write(PartEquations<S>& eq, const NoMemory&) const { detail::hold_voltage(eq, plus, minus, voltage); }
  /// A delivered out of plus.
  [[nodiscard]] S current(const PartView<S>& at, const NoMemory&) const { return S(-at.own(0)); }
};

/// offset + amplitude sin(2 pi frequency t + phase).
template <Real S>
struct SineSource {
  using Scalar = S;
  static constexpr bool piecewise_linear = true;
  static constexpr std::size_t own_unknowns = 1;
  struct Wave {
    S amplitude;      ///< V, peak
    S frequency;      ///< Hz, above 0
    S phase = S(0);   ///< rad
    S offset = S(0);  ///< V
  };
  Node plus, minus;
  Wave wave;
  const char* label = "sine source";

  /// @throws InvalidParameter
  SineSource(Node positive, Node negative, const Wave& shape) : plus(positive), minus(negative), wave(shape) {
    Check{label}
        .finite("amplitude", wave.amplitude, "V")
        .above("frequency", wave.frequency, 0.0, "Hz")
        .finite("phase", wave.phase, "rad")
        .finite("offset", wave.offset, "V");
  }
  [[nodiscard]] std::array<Node, 2> terminals() const { return {plus, minus}; }
  [[nodiscard]] Plain<S> nominal(std::size_t) const { return Plain<S>(1e-3); }
  /// A thirty-second of a period: at most 0.5 % of the amplitude goes unseen at a crest, a tenth of that with a scheme
  /// of two stages.
  [[nodiscard]] S longest_step(const NoMemory&) const { return S(S(1) / (S(32) * wave.frequency)); }
  [[nodiscard]] S voltage(const S& time) const {
    const S turn = S(S(2) * std::numbers::pi_v<Plain<S>> * wave.frequency * time + wave.phase);
    return S(wave.offset + wave.amplitude * math::sin(turn));
  }
  void write(PartEquations<S>& eq, const NoMemory&) const { detail::hold_voltage(eq, plus, minus, voltage(eq.time())); }
  [[nodiscard]] Drive<S> drive(const S& time, const NoMemory&) const {
    const S turn = S(S(2) * std::numbers::pi_v<Plain<S>> * wave.frequency);
    const S angle = S(turn * time + wave.phase);
    return {0, wave.offset, S(0), S(wave.amplitude * math::sin(angle)), S(wave.amplitude * math::cos(angle)), turn};
  }
  /// A delivered out of plus.
  [[nodiscard]] S current(const PartView<S>& at, const NoMemory&) const { return S(-at.own(0)); }
};

/// Rests at `low`, goes to `high` at `delay` for `width`, and again every `period`. Edges are straight ramps, or jumps.
template <Real S>
struct PulseSource {
  using Scalar = S;
  static constexpr bool piecewise_linear = true;
  static constexpr std::size_t own_unknowns = 1;
  struct Pulse {
    S low;            ///< V at rest
    S high;           ///< V during the pulse
    S delay;          ///< s until the first rising edge begins, at least 0
    S width;          ///< s at `high`, above 0
    S period = S(0);  ///< s from edge to edge, at least rise + width + fall; 0: a single pulse
    S rise = S(0);    ///< s, at least 0
    S fall = S(0);    ///< s, at least 0
  };
  /// Which stretch of which pulse: 0 rest before, 1 rise, 2 high, 3 fall.
  struct Memory {
    long pulse = 0;
    int stretch = 0;
  };
  Node plus, minus;
  Pulse pulse;
  const char* label = "pulse source";

  /// @throws InvalidParameter
  PulseSource(Node positive, Node negative, const Pulse& shape) : plus(positive), minus(negative), pulse(shape) {
    const S busy = S(pulse.rise + pulse.width + pulse.fall);
    Check{label}
        .finite("low", pulse.low, "V")
        .finite("high", pulse.high, "V")
        .at_least("delay", pulse.delay, 0.0, "s")
        .above("width", pulse.width, 0.0, "s")
        .at_least("rise", pulse.rise, 0.0, "s")
        .at_least("fall", pulse.fall, 0.0, "s")
        .at_least("period", pulse.period, 0.0, "s")
        .that(value_of(pulse.period) == 0 || value_of(pulse.period) >= value_of(busy), "period", pulse.period, "s",
              "0 for a single pulse, or at least rise + width + fall");
  }
  [[nodiscard]] std::array<Node, 2> terminals() const { return {plus, minus}; }
  [[nodiscard]] Plain<S> nominal(std::size_t) const { return Plain<S>(1e-3); }
  [[nodiscard]] Memory memory(const S& time) const {
    Memory m;
    pass_breakpoint(time, m);
    return m;
  }
  [[nodiscard]] S next_breakpoint(const S&, const Memory& m) const {
    if (m.pulse > 0 && value_of(pulse.period) == Plain<S>(0)) return unlimited<S>();
    return end_of(m);
  }
  void pass_breakpoint(const S& time, Memory& m) const {
    while (value_of(next_breakpoint(time, m)) <= value_of(time)) {
      m.stretch = (m.stretch + 1) % 4;
      if (m.stretch == 0) ++m.pulse;
    }
  }
  [[nodiscard]] S voltage(const S& time, const Memory& m) const {
    switch (m.stretch) {
    case 1: return ramp(pulse.low, pulse.high, S(time - first_edge(m)), pulse.rise);
    case 2: return pulse.high;
    case 3: return ramp(pulse.high, pulse.low, S(time - first_edge(m) - pulse.rise - pulse.width), pulse.fall);
    default: return pulse.low;
    }
  }
  void write(PartEquations<S>& eq, const Memory& m) const {
    detail::hold_voltage(eq, plus, minus, voltage(eq.time(), m));
  }
  [[nodiscard]] Drive<S> drive(const S& time, const Memory& m) const {
    const S rise = S(pulse.high - pulse.low);
    const S slope = m.stretch == 1 ? S(rise / pulse.rise) : m.stretch == 3 ? S(-rise / pulse.fall) : S(0);
    return {0, voltage(time, m), slope, S(0), S(0), S(0)};
  }
  /// A delivered out of plus.
  [[nodiscard]] S current(const PartView<S>& at, const Memory&) const { return S(-at.own(0)); }

 private:
  [[nodiscard]] S first_edge(const Memory& m) const { return S(pulse.delay + S(Plain<S>(m.pulse)) * pulse.period); }
  [[nodiscard]] S end_of(const Memory& m) const {
    const S start = first_edge(m);
    switch (m.stretch) {
    case 0: return start;
    case 1: return S(start + pulse.rise);
    case 2: return S(start + pulse.rise + pulse.width);
    default: return S(start + pulse.rise + pulse.width + pulse.fall);
    }
  }
  [[nodiscard]] static S ramp(const S& from, const S& to, const S& since, const S& length) {
    return S(from + (to - from) * math::clamp(S(since / length), S(0), S(1)));
  }
};

}  // namespace gastube
