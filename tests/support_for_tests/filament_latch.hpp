// SPDX-License-Identifier: MIT
#pragma once
/// A lamp latch as a circuit of five unknowns: a supply and a grid drive, each behind 10 us of resistor and capacitor,
/// a resistor, a filament that heats in 0.12 s, and a tube of two states. Every half second the grid is raised or the
/// supply taken away for a millisecond, in turn: one event each, two time scales four powers of ten apart.

#include <gastube/circuit/circuit.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>

namespace filament_latch {

using namespace gastube;

/// A drive that rests at one voltage and goes to another for a while each period, behind a resistor and a capacitor.
template <class S>
struct SlowedPulse {
  using Scalar = S;
  struct Memory {
    long edges = 0;
  };
  Node node;
  S rest, active, delay, width, period, resistance, capacitance;
  const char* label = "slowed pulse";

  [[nodiscard]] std::array<Node, 2> terminals() const { return {node, ground_node}; }
  void start(Starter<S>& starter) const { starter.tie(node, ground_node, rest); }
  [[nodiscard]] S next_breakpoint(const S&, const Memory& m) const {
    const S first = S(delay + S(Plain<S>(m.edges / 2)) * period);
    return m.edges % 2 == 0 ? first : S(first + width);
  }
  void pass_breakpoint(const S& time, Memory& m) const {
    while (value_of(next_breakpoint(time, m)) <= value_of(time)) ++m.edges;
  }
  void write(PartEquations<S>& eq, const Memory& m) const {
    eq.capacitance(node, ground_node, capacitance);
    const S drive = m.edges % 2 == 0 ? rest : active;
    eq.conduct(node, ground_node, S((eq.voltage(node) - drive) / resistance), S(S(1) / resistance));
  }
};

/// Blocked: 1 nS. Conducting: 8 V and 5 ohm. Strikes where the plate rises through the control line, lowered by what
/// ionisation is left; goes out where its current falls through 1 mA.
template <class S>
struct SwitchTube {
  using Scalar = S;
  static constexpr std::size_t followers = 1, guards = 1;
  static constexpr bool followers_act = false;
  struct Memory {
    bool lit = false;
  };
  Node plate, grid;
  S arc = S(8), resistance = S(5), holding = S(1e-3), at_zero = S(20), mu = S(10);
  S left_over = S(1) - S(9) / S(70), recovery = S(30e-6);
  const char* label = "switch tube";

  [[nodiscard]] std::array<Node, 3> terminals() const { return {plate, grid, ground_node}; }
  void write(PartEquations<S>& eq, const Memory& m) const {
    const S v = eq.voltage(plate);
    if (m.lit)
      eq.conduct(plate, ground_node, S((v - arc) / resistance), S(S(1) / resistance));
    else
      eq.conduct(plate, ground_node, S(S(1e-9) * v), S(1e-9));
  }
  void follow(const PartView<S>&, const Memory&, FollowRate<S>* rates) const { rates[0] = {S(0), S(S(1) / recovery)}; }
  [[nodiscard]] S guard(std::size_t, const PartView<S>& at, const Memory& m) const {
    const S v = at.voltage(plate);
    if (m.lit) return S((v - arc) / resistance - holding);
    return S((at_zero - mu * at.voltage(grid)) * (S(1) - at.follower(0)) - v);
  }
  [[nodiscard]] bool opens(std::size_t, const Memory& m) const { return m.lit; }
  Change fire(std::size_t, const PartView<S>&, Memory& m, S* followers_now) const {
    m.lit = !m.lit;
    if (!m.lit) followers_now[0] = left_over;
    return {label, m.lit ? "blocked" : "lit", m.lit ? "lit" : "blocked", m.lit ? "plate rises" : "current falls"};
  }
};

/// 100 ohm when hot; own unknown x is the temperature as a share of the hot one:
///   R = 100 x ohm,  0.12 s dx/dt = i^2 R / P0 - x^4 + 1e-4.
template <class S>
struct Filament {
  using Scalar = S;
  static constexpr std::size_t own_unknowns = 1;
  Node a, b;
  S hot_resistance = S(100), hot_power = S(1.2), initial = S(0.1);
  const char* label = "filament";

  [[nodiscard]] std::array<Node, 2> terminals() const { return {a, b}; }
  void start(Starter<S>& starter) const { starter.own(0, initial); }
  [[nodiscard]] Plain<S> nominal(std::size_t) const { return Plain<S>(0.01); }
  [[nodiscard]] bool slow(std::size_t) const { return true; }
  void write(PartEquations<S>& eq, const NoMemory&) const {
    const S x = eq.own(0), ohms = S(hot_resistance * x), v = eq.across(a, b), amperes = S(v / ohms);
    eq.conduct(a, b, amperes, S(S(1) / ohms));
    eq.current_slope_own(a, b, 0, S(-amperes / x));
    const S heating = S(v * amperes / hot_power), cube = S(x * x * x);
    eq.own_store(0, S(0.12));
    eq.own_flow(0, S(cube * x - S(1e-4) - heating));
    eq.own_flow_by_node(0, a, S(S(-2) * amperes / hot_power));
    eq.own_flow_by_node(0, b, S(S(2) * amperes / hot_power));
    eq.own_flow_by_own(0, 0, S(S(4) * cube + heating / x));
  }
};

/// When a pulse that comes each period begins and ends.
template <class S>
struct Schedule {
  S delay, width, period;
  struct Memory {
    long edges = 0;
  };
  [[nodiscard]] S next(const Memory& m) const {
    const S first = S(delay + S(Plain<S>(m.edges / 2)) * period);
    return m.edges % 2 == 0 ? first : S(first + width);
  }
};

/// A supply behind a lag of its own that nothing loads, and a resistor: the lag is a follower.
template <class S>
struct LaggedFeed {
  using Scalar = S;
  using Memory = typename Schedule<S>::Memory;
  static constexpr std::size_t followers = 1;
  Node node;
  S rest, active, lag, resistance;
  Schedule<S> schedule;
  const char* label = "lagged feed";

  [[nodiscard]] std::array<Node, 2> terminals() const { return {node, ground_node}; }
  [[nodiscard]] S next_breakpoint(const S&, const Memory& m) const { return schedule.next(m); }
  void pass_breakpoint(const S& time, Memory& m) const {
    while (value_of(schedule.next(m)) <= value_of(time)) ++m.edges;
  }
  void follow(const PartView<S>&, const Memory& m, FollowRate<S>* rates) const {
    rates[0] = {S((m.edges % 2 == 0 ? rest : active) / lag), S(S(1) / lag)};
  }
  void write(PartEquations<S>& eq, const Memory&) const {
    eq.conduct(node, ground_node, S((eq.voltage(node) - eq.follower(0)) / resistance), S(S(1) / resistance));
  }
};

/// The tube with its grid drive, which is a follower too.
template <class S>
struct DrivenTube : SwitchTube<S> {
  static constexpr std::size_t followers = 2, guards = 1;
  struct Memory : SwitchTube<S>::Memory {
    typename Schedule<S>::Memory drive;
  };
  S rest = S(-5), active = S(0), lag = S(10e-6);
  Schedule<S> schedule = {};

  [[nodiscard]] std::array<Node, 2> terminals() const { return {this->plate, ground_node}; }
  [[nodiscard]] S next_breakpoint(const S&, const Memory& m) const { return schedule.next(m.drive); }
  void pass_breakpoint(const S& time, Memory& m) const {
    while (value_of(schedule.next(m.drive)) <= value_of(time)) ++m.drive.edges;
  }
  void follow(const PartView<S>& at, const Memory& m, FollowRate<S>* rates) const {
    SwitchTube<S>::follow(at, m, rates);
    rates[1] = {S((m.drive.edges % 2 == 0 ? rest : active) / lag), S(S(1) / lag)};
  }
  [[nodiscard]] S guard(std::size_t k, const PartView<S>& at, const Memory& m) const {
    if (m.lit) return SwitchTube<S>::guard(k, at, m);
    return S((this->at_zero - this->mu * at.follower(1)) * (S(1) - at.follower(0)) - at.voltage(this->plate));
  }
  Change fire(std::size_t k, const PartView<S>& at, Memory& m, S* followers_now) const {
    return SwitchTube<S>::fire(k, at, m, followers_now);
  }
};

enum : Node { ground, supply, grid, lamp, plate };
inline constexpr std::size_t nodes = 5, temperature_part = 3;

template <class S = double>
[[nodiscard]] auto circuit() {
  // 1 ohm and 10 uF feed the 149 ohm; hot power at 28 V over 255 ohm.
  const S hot = S(28) / S(255);
  return wire<nodes>(SlowedPulse<S>{supply, S(36), S(0), S(0.75), S(1e-3), S(1), S(1), S(10e-6)},
                     SlowedPulse<S>{grid, S(-5), S(0), S(0.25), S(1e-3), S(1), S(1e3), S(10e-9)},
                     Resistor<S>(supply, lamp, S(149)), Filament<S>{lamp, plate, S(100), S(hot * hot * S(100))},
                     SwitchTube<S>{plate, grid});
}

/// The same with lags that nothing loads: three unknowns.
namespace lagged {
enum : Node { lamp = 1, plate };
inline constexpr std::size_t nodes = 3, temperature_part = 1;

template <class S = double>
[[nodiscard]] auto circuit() {
  const S hot = S(28) / S(255);
  DrivenTube<S> tube;
  tube.plate = plate;
  tube.schedule = {S(0.25), S(1e-3), S(1)};
  return wire<nodes>(LaggedFeed<S>{lamp, S(36), S(0), S(10e-6), S(150), {S(0.75), S(1e-3), S(1)}},
                     Filament<S>{lamp, plate, S(100), S(hot * hot * S(100))}, tube);
}
/// Both lags at rest.
template <class Scheme, class S = double>
[[nodiscard]] auto start(const Settings<S>& settings) {
  const auto wired = circuit<S>();
  Position<std::decay_t<decltype(wired)>> position(wired);
  wired.start_unknowns(position.x.data());
  position.y = {S(36), S(0), S(-5)};
  return Stepper<std::decay_t<decltype(wired)>, Scheme>(wired, position, wired.start_mode(), settings);
}
}  // namespace lagged

}  // namespace filament_latch
