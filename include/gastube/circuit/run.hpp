// SPDX-License-Identifier: MIT
#pragma once
/// Starting a circuit and reading it while it runs.

#include "gastube/circuit/circuit.hpp"
#include "gastube/circuit/wired_tube.hpp"
#include "gastube/circuit/wiring_check.hpp"
#include "gastube/stepping/exact/exact.hpp"

namespace gastube {

/// Leaves the choice of a scheme to the circuit: exact where its parts are piecewise linear and its size is fixed and
/// moderate; TR-BDF2 where they are piecewise linear in a larger circuit, and where a part with states of its own is
/// curved in them, as tubes of the catalogue are (a step that does not iterate is of low order across the kinks, and
/// may fail at tight tolerances); Rodas5P where curved parts have no states, as lamps and vacuum tubes. (TR-BDF2 is the
/// plain scheme for systems other than circuits: Rosenbrock schemes step linear charges only, and parts write no
/// others.) The accuracy asked for does not change the choice; build/examples/scheme_comparison and
/// build/bench/compare_steppers show what each scheme costs for it.
struct SchemeByCircuit {};
/// A scheme that start() takes.
template <class Scheme>
concept StartingScheme = AnyScheme<Scheme> || std::same_as<Scheme, Exact> || std::same_as<Scheme, SchemeByCircuit>;

/// Unknowns up to which a run is exact unless asked otherwise: beyond it working patterns out takes too long, and too
/// much room.
inline constexpr std::size_t most_unknowns_by_default = 32;

namespace detail {
template <class System, class Scheme>
struct ChosenStepper {
  using type = Stepper<System, Scheme>;
};
template <class System>
struct ChosenStepper<System, Exact> {
  using type = ExactStepper<System>;
};
template <class System>
inline constexpr bool runs_exactly = [] {
  if constexpr (System::extent <= most_unknowns_by_default)
    return PiecewiseLinearSystem<System>;
  else
    return false;
}();
template <class System>
inline constexpr bool runs_smoothly = [] {
  if constexpr (requires { System::curved_between_states; })
    return !System::curved_between_states && !PiecewiseLinearSystem<System>;
  else
    return false;
}();
template <class System>
struct ChosenStepper<System, SchemeByCircuit>
    : ChosenStepper<System, std::conditional_t<runs_exactly<System>, Exact,
                                               std::conditional_t<runs_smoothly<System>, Rodas5P, TrBdf2>>> {};
}  // namespace detail

/// What start() takes: a circuit, or an audited one.
template <class Wired>
concept AnyCircuit = requires(const Wired& circuit, typename Wired::Scalar* unknowns) {
  circuit.start_unknowns(unknowns);
  circuit.start_mode();
};

/// A run of the circuit from time 0, whatever it is wired like. For hosts that drive a node from outside, and for
/// whoever wants to see what becomes of a floating grid; else start().
/// @throws InvalidParameter, InvalidRequest
template <StartingScheme Scheme = SchemeByCircuit, AnyCircuit Wired>
[[nodiscard]] auto start_unchecked(const Wired& circuit, const Settings<typename Wired::Scalar>& settings = {},
                                   Beginning beginning = Beginning::as_given) {
  Position<Wired> position(circuit);
  circuit.start_unknowns(position.x.data());
  using Run = typename detail::ChosenStepper<Wired, Scheme>::type;
  return Run(circuit, position, circuit.start_mode(), settings, beginning);
}

/// A run of the circuit from time 0: from its initial values, or settled (as if switched on long before).
///   auto run = start(circuit);  run.run_until(0.1, observer);  voltage(run, plate);
/// start<TrBdf2>(circuit), start<Exact>(circuit) name the scheme.
/// @throws InvalidParameter; InvalidRequest, among others for every wiring mistake that check_wiring() finds
template <StartingScheme Scheme = SchemeByCircuit, AnyCircuit Wired>
[[nodiscard]] auto start(const Wired& circuit, const Settings<typename Wired::Scalar>& settings = {},
                         Beginning beginning = Beginning::as_given) {
  check_wiring(circuit);
  return start_unchecked<Scheme>(circuit, settings, beginning);
}
template <StartingScheme Scheme = SchemeByCircuit, AnyCircuit Wired>
[[nodiscard]] auto start(const Wired& circuit, Beginning beginning) {
  return start<Scheme>(circuit, Settings<typename Wired::Scalar>{}, beginning);
}

/// V of a node against ground, now.
template <class Run>
[[nodiscard]] auto voltage(const Run& run, Node node) {
  return run.system().voltage(node, run.instant());
}

/// A through part number `part` (see Circuit::find), now; 0 for a part that does not tell.
template <class Run>
[[nodiscard]] auto current(const Run& run, std::size_t part) {
  typename Run::S amperes(0);
  std::size_t index = 0;
  run.system().look(run.instant(), run.mode(), [&](const auto& one, const auto& view, const auto& memory) {
    if constexpr (requires { one.current(view, memory); })
      if (index == part) amperes = one.current(view, memory);
    ++index;
  });
  return amperes;
}
template <class Run>
[[nodiscard]] auto current(const Run& run, const char* label) {
  return current(run, run.system().find(label));
}

/// State of tube number `part`, now; cold for a part that is no tube.
template <class Run>
[[nodiscard]] TubeState tube_state(const Run& run, std::size_t part) {
  TubeState state = TubeState::cold;
  std::size_t index = 0;
  run.system().look(run.instant(), run.mode(), [&](const auto&, const auto&, const auto& memory) {
    if constexpr (requires { TubeState(memory.state); })
      if (index == part) state = memory.state;
    ++index;
  });
  return state;
}
template <class Run>
[[nodiscard]] TubeState tube_state(const Run& run, const char* label) {
  return tube_state(run, run.system().find(label));
}

/// The part's own unknown k (a filament's temperature, a winding's current), now.
template <class Run>
[[nodiscard]] auto own_unknown(const Run& run, std::size_t part, std::size_t k = 0) {
  typename Run::S value(0);
  std::size_t index = 0;
  run.system().look(run.instant(), run.mode(), [&](const auto& one, const auto& view, const auto&) {
    if constexpr (detail::own_unknowns_of < std::decay_t < decltype(one) >>> 0)
      if (index == part) value = view.own(k);
    ++index;
  });
  return value;
}
/// The part's follower k (a meter's integral, a tube's residual ionisation), now.
template <class Run>
[[nodiscard]] auto follower(const Run& run, std::size_t part, std::size_t k = 0) {
  typename Run::S value(0);
  std::size_t index = 0;
  run.system().look(run.instant(), run.mode(), [&](const auto& one, const auto& view, const auto&) {
    if constexpr (detail::followers_of < std::decay_t < decltype(one) >>> 0)
      if (index == part) value = view.follower(k);
    ++index;
  });
  return value;
}

}  // namespace gastube
