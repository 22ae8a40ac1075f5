// SPDX-License-Identifier: MIT
#pragma once
/// A gas tube in a circuit.

#include "gastube/circuit/part.hpp"
#include "gastube/tube/machine.hpp"

namespace gastube {

/// The nodes a hot-cathode tube is wired to. A shield grid left out is tied to the cathode.
///
/// The heater is fed by a winding of its own, which is no part of the circuit; what the circuit can do to it is to
/// raise it against the cathode. `heater` is the node that its supply is tied to: the cathode's own, ground, a bias. It
/// only says so, and draws nothing; HeaterWatch (heater_watch.hpp) holds the voltage against the ratings, and the check
/// of wiring, if asked to, refuses a tube whose heater nobody has thought of.
struct TubeTerminals {
  static constexpr Node as_cathode = -1;
  static constexpr Node not_wired = -2;
  Node plate, grid;
  Node shield = as_cathode;
  Node cathode;
  Node heater = not_wired;
};

/// The nodes a cold-cathode tube is wired to. A trigger left out (and that of a lamp, which has none) is tied to the
/// cathode.
struct ColdTubeTerminals {
  static constexpr Node as_cathode = -1;
  Node anode;
  Node trigger = as_cathode;
  Node cathode;
};

/// How a tube enters the run.
enum class CathodeStart {
  warm,  ///< heated for long before the run
  cold,  ///< heater switched on as the run begins
};

/// Own unknown: the plate current through the discharge, or before it. Followers: residual ionisation, formation, and
/// the plate voltage above the arc drop while it falls.
template <TubeMachine Tube>
struct WiredTube {
  using Scalar = typename Tube::Scalar;
  using S = Scalar;
  using Memory = TubeMemory<S>;
  static constexpr bool piecewise_linear = [] {
    if constexpr (requires { Tube::piecewise_linear; })
      return bool(Tube::piecewise_linear);
    else
      return false;
  }();
  static constexpr std::size_t own_unknowns = 1, followers = 3, guards = most_exits(Tube::transitions);

  /// Puts what a tube writes about itself into the circuit's terms.
  struct Writer {
    PartMargin<S>& out;
    const TubeTerminals& at;

    void begin() { out.begin(); }
    void join() { out.join(); }
    void greatest() { out.greatest(); }
    void constant(const S& factor) { out.constant(factor); }
    void per_second(const S& factor) { out.per_second(factor); }
    void plate(const S& factor) { across(factor, at.plate); }
    void grid(const S& factor) { across(factor, at.grid); }
    void shield(const S& factor) { across(factor, at.shield); }
    void current(const S& factor) { add(factor, out.own(0)); }
    void residual(const S& factor) { add(factor, out.follower(0)); }
    void formation(const S& factor) { add(factor, out.follower(1)); }
    void excess(const S& factor) { add(factor, out.follower(2)); }
    void grid_residual(const S& factor) { across(factor, at.grid, out.follower(0)); }
    void shield_residual(const S& factor) { across(factor, at.shield, out.follower(0)); }

   private:
    using Quantity = typename PartMargin<S>::Quantity;
    [[nodiscard]] static bool counts(const S& factor) { return !is_plain<S> || value_of(factor) != Plain<S>(0); }
    void add(const S& factor, const Quantity& of) {
      if (counts(factor)) out.add(factor, of);
    }
    void across(const S& factor, Node node, const Quantity& times = {}) {
      if (counts(factor)) out.across(factor, node, at.cathode, times);
    }
  };

  Tube tube;
  TubeTerminals at;
  CathodeStart start_as;
  const char* label;

  WiredTube(const Tube& type, const TubeTerminals& terminals, CathodeStart how = CathodeStart::warm)
      : tube(type), at(terminals), start_as(how), label(type.type()) {
    if (at.shield == TubeTerminals::as_cathode) at.shield = at.cathode;
  }
  /// Plate, grid, shield, cathode, heater; the cathode's node for a heater that is not wired.
  [[nodiscard]] std::array<Node, 5> terminals() const {
    return {at.plate, at.grid, at.shield, at.cathode, heater_wired() ? at.heater : at.cathode};
  }
  [[nodiscard]] std::array<Link, 6> links() const {
    const auto& c = tube.capacitances();
    const bool grid_stores = value_of(S(c.grid_plate + c.grid_cathode + c.grid_shield)) > Plain<S>(0);
    const bool shield_stores = value_of(S(c.shield_plate + c.grid_shield)) > Plain<S>(0);
    return {{{at.plate, at.cathode},
             {at.grid, at.cathode, Joint::controls, Tube::cold_cathode ? "trigger" : "grid"},
             {at.shield, at.cathode, Joint::controls, "shield grid"},
             {terminals()[4], at.cathode, Joint::insulated, "heater"},
             {grid_stores ? at.grid : at.cathode, at.cathode, Joint::stores},
             {shield_stores ? at.shield : at.cathode, at.cathode, Joint::stores}}};
  }
  [[nodiscard]] bool heater_wired() const { return at.heater != TubeTerminals::not_wired; }
  /// V of what the heater's supply is tied to above the cathode; 0 if it is not wired.
  [[nodiscard]] S heater_above_cathode(const PartView<S>& eq) const { return eq.across(terminals()[4], at.cathode); }
  [[nodiscard]] Plain<S> nominal(std::size_t) const { return Plain<S>(1e-3); }
  [[nodiscard]] Memory memory(const S& time) const {
    return start_as == CathodeStart::warm ? tube.warm(time) : tube.switched_on(time);
  }
  void write(PartEquations<S>& eq, const Memory& memory) const {
    eq.branch(at.plate, at.cathode, 0);
    const View view = look(eq);
    if (is_lit(memory.state))
      write_arc(eq, memory);
    else
      write_dark(eq, view, memory);
    write_grid(eq, view, memory);
    write_capacitances(eq);
  }

  void follow(const PartView<S>& eq, const Memory& memory, FollowRate<S>* rates) const {
    const View view = look(eq);
    rates[0] = {tube.residual_source(view, memory), tube.residual_decay(memory)};
    rates[1] = {tube.formation_rate(view, memory), S(0)};
    rates[2] = {S(0), tube.excess_decay()};
  }
  [[nodiscard]] S guard(std::size_t k, const PartView<S>& eq, const Memory& memory) const {
    return tube.guard(k, look(eq), memory);
  }
  /// Guard k written out, where the tube can; see stepping/linear.hpp.
  bool margin(std::size_t k, PartMargin<S>& out, const Memory& memory) const requires requires(Writer& to) {
    tube.margin(k, memory, to);
  }
  {
    Writer to{out, at};
    return tube.margin(k, memory, to);
  }
  [[nodiscard]] unsigned pattern(const Memory& memory) const requires requires { tube.pattern(memory); }
  { return tube.pattern(memory); }
  [[nodiscard]] bool follows_straight(std::size_t k) const {
    if constexpr (requires(const Tube& some) { some.follows_straight(k); })
      return tube.follows_straight(k);
    else
      return true;
  }
  /// True if that event breaks the plate current.
  [[nodiscard]] bool opens(std::size_t k, const Memory& memory) const {
    const Transition* row = exit_of(Tube::transitions, memory.state, k);
    return row && is_lit(row->from) && !is_lit(row->to);
  }
  Change fire(std::size_t k, const PartView<S>& eq, Memory& memory, S* followers_now) const {
    const View before = look(eq);
    const Transition& row = tube.leave(k, before, memory, followers_now[0], followers_now[1]);
    followers_now[2] = tube.excess_at_start(before, memory);
    return {label, name(row.from), name(row.to), name(row.cause)};
  }
  [[nodiscard]] PartPort port(const Memory& memory) const {
    const bool asks = memory.state == TubeState::striking;
    return {at.plate, at.cathode, 0, asks, asks};
  }
  /// V at the port, steady, where a guard takes another form.
  [[nodiscard]] S steady_need(const Memory& memory) const requires requires { tube.steady_need(memory); }
  { return tube.steady_need(memory); }
  void accept_port(const PortReading<S>& reading, Memory& memory) const {
    memory.feed = {reading.resistance, reading.steady_voltage, reading.steady_resistance};
  }

  /// A of plate current.
  [[nodiscard]] S current(const PartView<S>& eq, const Memory&) const { return eq.own(0); }
  /// W at plate and grid. Below 0 where hot electrodes drive a current themselves.
  [[nodiscard]] S dissipated(const PartView<S>& eq, const Memory& memory) const {
    const GridPaths<S> paths = tube.grid_paths(look(eq), memory);
    return S(eq.across(at.plate, at.cathode) * eq.own(0) + eq.across(at.grid, at.cathode) * paths.to_cathode
             + eq.across(at.plate, at.grid) * paths.from_plate);
  }
  [[nodiscard]] S stored(const PartView<S>& eq, const Memory&) const {
    const auto& c = tube.capacitances();
    return S(capacitance_energy(eq, at.grid, at.plate, c.grid_plate)
             + capacitance_energy(eq, at.grid, at.cathode, c.grid_cathode)
             + capacitance_energy(eq, at.plate, at.cathode, c.plate_cathode)
             + capacitance_energy(eq, at.shield, at.plate, c.shield_plate)
             + capacitance_energy(eq, at.grid, at.shield, c.grid_shield));
  }

  using View = TubeView<S>;
  /// What the tube sees at this instant.
  [[nodiscard]] View look(const PartView<S>& eq) const {
    return {eq.time(),
            {eq.across(at.plate, at.cathode), eq.across(at.grid, at.cathode), eq.across(at.shield, at.cathode)},
            eq.own(0),
            eq.follower(0),
            eq.follower(1),
            eq.follower(2)};
  }

 private:
  void write_arc(PartEquations<S>& eq, const Memory& memory) const {
    const auto arc = tube.arc(eq.own(0), memory);
    eq.own_voltage(0, at.plate, at.cathode);
    eq.own_flow(0, S(-arc.voltage - eq.follower(2)));
    eq.own_flow_by_own(0, 0, S(-arc.slope));
  }
  void write_dark(PartEquations<S>& eq, const View& view, const Memory& memory) const {
    const SlopedCurrent<S> dark = tube.dark_current(view, memory);
    eq.own_flow(0, S(eq.own(0) - dark.current));
    eq.own_flow_by_own(0, 0, S(1));
    eq.own_flow_by_node(0, at.plate, S(-dark.by_plate));
    eq.own_flow_by_node(0, at.grid, S(-dark.by_grid));
    eq.own_flow_by_node(0, at.shield, S(-dark.by_shield));
    eq.own_flow_by_node(0, at.cathode, S(dark.by_plate + dark.by_grid + dark.by_shield));
  }
  void write_grid(PartEquations<S>& eq, const View& view, const Memory& memory) const {
    const GridPaths<S> paths = tube.grid_paths(view, memory);
    eq.conduct(at.grid, at.cathode, paths.to_cathode, paths.to_cathode_by_grid);
    eq.current(at.plate, at.grid, paths.from_plate);
    eq.current_slope(at.plate, at.grid, at.plate, paths.from_plate_by_plate);
    eq.current_slope(at.plate, at.grid, at.grid, paths.from_plate_by_grid);
    eq.current_slope(at.plate, at.grid, at.cathode, S(-paths.from_plate_by_plate - paths.from_plate_by_grid));
    eq.current_slope_own(at.plate, at.grid, 0, paths.from_plate_by_plate_current);
  }
  void write_capacitances(PartEquations<S>& eq) const {
    const auto& c = tube.capacitances();
    write_capacitance(eq, at.grid, at.plate, c.grid_plate);
    write_capacitance(eq, at.grid, at.cathode, c.grid_cathode);
    write_capacitance(eq, at.plate, at.cathode, c.plate_cathode);
    write_capacitance(eq, at.shield, at.plate, c.shield_plate);
    write_capacitance(eq, at.grid, at.shield, c.grid_shield);
  }
  static void write_capacitance(PartEquations<S>& eq, Node a, Node b, const S& farads) {
    if (a != b && value_of(farads) > Plain<S>(0)) eq.capacitance(a, b, farads);
  }
};

/// Wires a tube into a circuit: wired(tube, {.plate = plate, .grid = grid, .cathode = cathode}).
template <TubeMachine Tube>
  requires(!Tube::cold_cathode)
[[nodiscard]] WiredTube<Tube> wired(const Tube& tube, const TubeTerminals& terminals,
                                    CathodeStart start = CathodeStart::warm) {
  return {tube, terminals, start};
}
/// The same for lamps, stabilisers and trigger tubes: wired(tube, {.anode = anode, .cathode = cathode}).
template <TubeMachine Tube>
  requires(Tube::cold_cathode)
[[nodiscard]] WiredTube<Tube> wired(const Tube& tube, const ColdTubeTerminals& terminals) {
  const Node trigger = terminals.trigger == ColdTubeTerminals::as_cathode ? terminals.cathode : terminals.trigger;
  return {tube, {.plate = terminals.anode, .grid = trigger, .cathode = terminals.cathode}, CathodeStart::warm};
}

}  // namespace gastube
