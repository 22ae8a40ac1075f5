// SPDX-License-Identifier: MIT
#pragma once
/// Voltage sources: steady, sine, pulse, three-phase, any waveform. Each holds node `plus` at its voltage above node
/// `minus`, at any current.

#include "gastube/circuit/pulse_wave.hpp"
#include "gastube/circuit/sine_wave.hpp"

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
  [[nodiscard]] std::array<Link, 1> links() const { return {{{plus, minus, Joint::holds}}}; }
  [[nodiscard]] Plain<S> nominal(std::size_t) const { return Plain<S>(1e-3); }
  void write(PartEquations<S>& eq, const NoMemory&) const { detail::hold_voltage(eq, plus, minus, voltage); }
  /// A delivered out of plus.
  [[nodiscard]] S current(const PartView<S>& at, const NoMemory&) const { return S(-at.own(0)); }
  [[nodiscard]] S delivered(const PartView<S>& at, const NoMemory&) const {
    return S(-at.across(plus, minus) * at.own(0));
  }
};

/// A voltage that follows a waveform.
template <Waveform W>
struct VoltageSource : detail::Following<W> {
  using Scalar = typename W::Scalar;
  using S = Scalar;
  using Memory = typename detail::MemoryOf<W>::type;
  static constexpr std::size_t own_unknowns = 1;
  Node plus, minus;
  const char* label;

  /// @throws InvalidParameter
  VoltageSource(Node positive, Node negative, const W& shape, const char* name = "voltage source")
      : detail::Following<W>{shape}, plus(positive), minus(negative), label(name) {
    this->wave.check(Check{label});
  }
  [[nodiscard]] std::array<Node, 2> terminals() const { return {plus, minus}; }
  [[nodiscard]] std::array<Link, 1> links() const { return {{{plus, minus, Joint::holds}}}; }
  [[nodiscard]] Plain<S> nominal(std::size_t) const { return Plain<S>(1e-3); }
  [[nodiscard]] S voltage(const S& time, const Memory& m) const { return this->wave.value(time, m); }
  void write(PartEquations<S>& eq, const Memory& m) const {
    detail::hold_voltage(eq, plus, minus, voltage(eq.time(), m));
  }
  [[nodiscard]] Drive<S> drive(const S& time, const Memory& m) const requires detail::Following<W>::piecewise_linear {
    return this->wave.drive(time, m);
  }
  /// A delivered out of plus.
  [[nodiscard]] S current(const PartView<S>& at, const Memory&) const { return S(-at.own(0)); }
  [[nodiscard]] S delivered(const PartView<S>& at, const Memory&) const {
    return S(-at.across(plus, minus) * at.own(0));
  }
};

template <Real S>
struct SineSource : VoltageSource<SineWave<S>> {
  using Wave = SineWave<S>;
  /// @throws InvalidParameter
  SineSource(Node positive, Node negative, const Wave& shape)
      : VoltageSource<Wave>(positive, negative, shape, "sine source") {}
  using VoltageSource<Wave>::voltage;
  [[nodiscard]] S voltage(const S& time) const { return this->wave.value(time, NoMemory{}); }
};

template <Real S>
struct PulseSource : VoltageSource<PulseWave<S>> {
  using Pulse = PulseWave<S>;
  /// @throws InvalidParameter
  PulseSource(Node positive, Node negative, const Pulse& shape)
      : VoltageSource<Pulse>(positive, negative, shape, "pulse source") {}
};

/// Three sines a third of a period apart, in star: each from its line to `neutral`. The first has the phase given, the
/// second follows it by 120 degrees, the third by 240. The three are one entry of a circuit.
/// @throws InvalidParameter
template <Real S>
[[nodiscard]] std::array<SineSource<S>, 3> three_phase(const std::array<Node, 3>& lines, Node neutral,
                                                       const SineWave<S>& first) {
  const auto line = [&](std::size_t k) {
    SineWave<S> wave = first;
    wave.phase -= S(std::numbers::pi_v<Plain<S>> * Plain<S>(k) * Plain<S>(2) / Plain<S>(3));
    static constexpr const char* names[] = {"line 1", "line 2", "line 3"};
    return named(names[k], SineSource<S>(lines[k], neutral, wave));
  };
  return {line(0), line(1), line(2)};
}

}  // namespace gastube
