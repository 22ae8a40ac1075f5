// SPDX-License-Identifier: MIT
#pragma once
/// Instruments with inertia: moving coil, true r.m.s., and peak. Each loads the circuit with its resistance; in series
/// and with a small resistance it is an ammeter. Voltmeter (voltmeter.hpp) only sums up.
///
/// What they show at mains is not safe to touch: an isolated meter on a live circuit stands at that circuit's voltage.

#include "gastube/circuit/part.hpp"
#include "gastube/support/checked.hpp"

namespace gastube {

namespace detail {
/// What all instruments share: a resistance between two nodes.
template <Real S>
struct Instrument {
  using Scalar = S;
  static constexpr std::size_t followers = 1;
  Node plus, minus;
  S resistance;  ///< ohm, above 0
  const char* label;

  Instrument(Node positive, Node negative, const S& ohms, const char* name)
      : plus(positive), minus(negative), resistance(ohms), label(name) {
    Check{label}.above("resistance", resistance, 0.0, "ohm");
  }
  [[nodiscard]] std::array<Node, 2> terminals() const { return {plus, minus}; }
  template <class Memory>
  void write(PartEquations<S>& eq, const Memory&) const {
    eq.conduct(plus, minus, S(eq.across(plus, minus) / resistance), S(S(1) / resistance));
  }
  /// A through the instrument.
  template <class Memory>
  [[nodiscard]] S current(const PartView<S>& at, const Memory&) const {
    return S(at.across(plus, minus) / resistance);
  }
  template <class Memory>
  [[nodiscard]] S dissipated(const PartView<S>& at, const Memory&) const {
    const S volts = at.across(plus, minus);
    return S(volts * volts / resistance);
  }
};
}  // namespace detail

/// Moving-coil instrument: its pointer follows the voltage with one time constant. Follower: the pointer, V.
template <Real S>
struct MovingCoilMeter : detail::Instrument<S> {
  S damping;       ///< s, time constant of the pointer, above 0
  S scale = S(1);  ///< reading per volt: 1 for a voltmeter, 1 / resistance for an ammeter, 2.2214 for one that shows
                   ///< the r.m.s. value of a half-wave rectified sine by its mean

  /// @throws InvalidParameter
  MovingCoilMeter(Node positive, Node negative, const S& ohms, const S& time_constant, const S& per_volt = S(1))
      : detail::Instrument<S>(positive, negative, ohms, "moving-coil meter"), damping(time_constant), scale(per_volt) {
    Check{this->label}.above("damping", damping, 0.0, "s").finite("scale", scale, "per V");
  }
  void follow(const PartView<S>& at, const NoMemory&, FollowRate<S>* rates) const {
    rates[0] = {S(at.across(this->plus, this->minus) / damping), S(S(1) / damping)};
  }
  [[nodiscard]] S reading(const PartView<S>& at, const NoMemory&) const { return S(scale * at.follower(0)); }
};

/// True r.m.s. instrument, as a thermocouple: the mean square with one time constant. Follower: the mean square, V^2.
template <Real S>
struct RmsMeter : detail::Instrument<S> {
  S damping;  ///< s, time constant of the mean square, above 0
  S scale;    ///< reading per volt

  /// @throws InvalidParameter
  RmsMeter(Node positive, Node negative, const S& ohms, const S& time_constant, const S& per_volt = S(1))
      : detail::Instrument<S>(positive, negative, ohms, "r.m.s. meter"), damping(time_constant), scale(per_volt) {
    Check{this->label}.above("damping", damping, 0.0, "s").finite("scale", scale, "per V");
  }
  void follow(const PartView<S>& at, const NoMemory&, FollowRate<S>* rates) const {
    const S volts = at.across(this->plus, this->minus);
    rates[0] = {S(volts * volts / damping), S(S(1) / damping)};
  }
  [[nodiscard]] S reading(const PartView<S>& at, const NoMemory&) const {
    const S square = at.follower(0);
    return value_of(square) > Plain<S>(0) ? S(scale * math::sqrt(square)) : S(0);
  }
};

/// Peak instrument: holds the greatest voltage since the start, or since it was cleared (its follower set to less).
/// Follower: what it holds, V, from 0 on. It follows a rising voltage with the time constant `attack`, so of a peak of
/// curvature c it misses about attack^2 c / 2, and of a spike shorter than `attack` most. Swap the nodes for negative
/// peaks. Changing over from holding to following is an event.
template <Real S>
struct PeakMeter : detail::Instrument<S> {
  static constexpr std::size_t guards = 1;
  struct Memory {
    bool rising = false;
  };
  S attack;  ///< s, above 0

  /// @throws InvalidParameter
  PeakMeter(Node positive, Node negative, const S& ohms, const S& time_constant)
      : detail::Instrument<S>(positive, negative, ohms, "peak meter"), attack(time_constant) {
    Check{this->label}.above("attack", attack, 0.0, "s");
  }
  void follow(const PartView<S>& at, const Memory& m, FollowRate<S>* rates) const {
    if (m.rising) rates[0] = {S(at.across(this->plus, this->minus) / attack), S(S(1) / attack)};
  }
  /// Changes over with a nanovolt of play (float: 0.1 mV), or a steady voltage would set it going for ever.
  [[nodiscard]] S guard(std::size_t, const PartView<S>& at, const Memory& m) const {
    const S above = S(at.across(this->plus, this->minus) - at.follower(0));
    return S((m.rising ? above : S(-above)) + S(play));
  }
  Change fire(std::size_t, const PartView<S>&, Memory& m, S*) const {
    m.rising = !m.rising;
    return {this->label, m.rising ? "holding" : "following", m.rising ? "following" : "holding",
            m.rising ? "voltage above what is held" : "voltage past its peak"};
  }
  [[nodiscard]] S reading(const PartView<S>& at, const Memory&) const { return at.follower(0); }

 private:
  static constexpr Plain<S> play = round_off<S> > Plain<S>(1e-12) ? Plain<S>(1e3) * round_off<S> : Plain<S>(1e-9);
};

/// What instrument number `part` shows, now.
template <class Run>
[[nodiscard]] auto reading(const Run& run, std::size_t part) {
  typename Run::S shown(0);
  std::size_t index = 0;
  run.system().look(run.instant(), run.mode(), [&](const auto& one, const auto& view, const auto& memory) {
    if constexpr (requires { one.reading(view, memory); })
      if (index == part) shown = one.reading(view, memory);
    ++index;
  });
  return shown;
}
template <class Run>
[[nodiscard]] auto reading(const Run& run, const char* label) {
  return reading(run, run.system().find(label));
}

}  // namespace gastube
