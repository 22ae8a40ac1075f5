// SPDX-License-Identifier: MIT
#pragma once
/// Relay: a coil, an armature that takes its time, and change-over contacts anywhere in the circuit.

#include "gastube/circuit/contact.hpp"

namespace gastube {

template <Real S>
struct RelayCoil {
  S resistance;         ///< ohm, above 0
  S inductance_open;    ///< H with the armature at rest, above 0
  S inductance_closed;  ///< H with the armature pulled in, at least that at rest
  S pull_in;            ///< A, either way, above 0
  S drop_out;           ///< A, above 0; the flux of pull_in must hold: drop_out L_closed <= pull_in L_open
};

/// Times of the armature. All may be 0.
template <Real S>
struct RelayTimes {
  S pull_in = S(0);       ///< s from the pull-in current to the first touch of the work contacts, at least `flight`
  S release = S(0);       ///< s from the drop-out current to the first touch of the rest contacts, at least `flight`
  S flight = S(0);        ///< s of them during which neither contact is made, at least 0
  Bounce<S> bounce = {};  ///< of whichever contact the armature comes down on
};

/// The nodes of one change-over contact. A side that is not used may be left out.
struct ChangeOver {
  static constexpr Node unused = -1;
  Node common;
  Node work = unused;  ///< joined to `common` when the armature is pulled in
  Node rest = unused;  ///< joined to `common` when it is not
};

/// Where the armature is. What comes first in each pair lasts a set time.
enum class Armature { resting, attracted, closing, touching, held, let_go, opening, settling };
[[nodiscard]] constexpr const char* name(Armature armature) {
  switch (armature) {
  case Armature::resting: return "resting";
  case Armature::attracted: return "attracted";
  case Armature::closing: return "closing";
  case Armature::touching: return "touching";
  case Armature::held: return "held";
  case Armature::let_go: return "let go";
  case Armature::opening: return "opening";
  case Armature::settling: return "settling";
  }
  return "unknown";
}

/// Coil from a to b with C change-over contacts. Own unknowns: the flux of the coil (V s), then for each contact the
/// currents from `common` to `work` and to `rest`.
///
/// The flux stays as the armature moves and so the inductance changes; the current then dips or leaps, as it does in a
/// relay. A pull that ends before the armature has left, or a current that comes back before it has let go, turns it
/// back at once; one that comes while it is in flight takes a whole flight.
template <Real S, std::size_t C = 1>
struct Relay {
  using Scalar = S;
  static constexpr bool piecewise_linear = true;
  static constexpr std::size_t own_unknowns = 1 + 2 * C, guards = 2;
  struct Memory {
    Armature armature = Armature::resting;
    int edge = 0;                          ///< of the bounce; the contact is made after an even number
    S begun = S(0), due = unlimited<S>();  ///< s, when this state began, and when it ends by time
  };
  Node a, b;
  std::array<ChangeOver, C> contacts;
  RelayCoil<S> coil;
  RelayTimes<S> times;
  S contact_resistance;  ///< ohm of a made contact, at least 0
  const char* label = "relay";

  /// @throws InvalidParameter
  Relay(Node from, Node to, const std::array<ChangeOver, C>& change_overs, const RelayCoil<S>& winding,
        const RelayTimes<S>& timing = {}, const S& ohms = S(0))
      : a(from), b(to), contacts(change_overs), coil(winding), times(timing), contact_resistance(ohms) {
    check();
  }

  [[nodiscard]] std::array<Node, 2 + 3 * C> terminals() const {
    std::array<Node, 2 + 3 * C> nodes{a, b};
    for (std::size_t k = 0; k < C; ++k) {
      const ChangeOver& c = contacts[k];
      nodes[2 + 3 * k] = c.common;
      nodes[3 + 3 * k] = used(c.work) ? c.work : c.common;
      nodes[4 + 3 * k] = used(c.rest) ? c.rest : c.common;
    }
    return nodes;
  }
  [[nodiscard]] std::array<Link, 1 + 2 * C> links() const {
    const auto nodes = terminals();
    std::array<Link, 1 + 2 * C> joined{{{a, b}}};
    for (std::size_t k = 0; k < C; ++k) {
      joined[1 + 2 * k] = {nodes[2 + 3 * k], nodes[3 + 3 * k]};
      joined[2 + 2 * k] = {nodes[2 + 3 * k], nodes[4 + 3 * k]};
    }
    return joined;
  }
  [[nodiscard]] Plain<S> nominal(std::size_t k) const {
    return k == 0 ? value_of(coil.pull_in) * value_of(coil.inductance_open) : Plain<S>(1e-3);
  }
  void write(PartEquations<S>& eq, const Memory& m) const {
    const S per_flux = S(S(1) / inductance(m));
    eq.current(a, b, S(per_flux * eq.own(0)));
    eq.current_slope_own(a, b, 0, per_flux);
    eq.own_store(0, S(-1));  // across - R flux / L - d flux/dt = 0
    eq.own_flow(0, S(eq.across(a, b) - coil.resistance * per_flux * eq.own(0)));
    eq.own_flow_by_node(0, a, S(1));
    eq.own_flow_by_node(0, b, S(-1));
    eq.own_flow_by_own(0, 0, S(-coil.resistance * per_flux));
    for (std::size_t k = 0; k < C; ++k) {
      write_side(eq, contacts[k].common, contacts[k].work, works(m), 1 + 2 * k);
      write_side(eq, contacts[k].common, contacts[k].rest, rests(m), 2 + 2 * k);
    }
  }

  /// Guard 0 falls when the current calls the armature or lets it go, guard 1 when a time has passed.
  [[nodiscard]] S guard(std::size_t k, const PartView<S>& at, const Memory& m) const {
    if (k == 1) return S(m.due - at.time());
    const S amperes = math::abs(current(at, m));
    return is_called(m) ? S(amperes / coil.drop_out - S(1)) : S(S(1) - amperes / coil.pull_in);
  }
  [[nodiscard]] unsigned pattern(const Memory& m) const {
    return (is_closed(m) ? 4U : 0U) + (works(m) ? 2U : 0U) + (rests(m) ? 1U : 0U);
  }
  void margin(std::size_t k, PartMargin<S>& out, const Memory& m) const {
    if (k == 1) {
      if (is_limited(m.due)) out.begin().constant(m.due).per_second(S(-1));
      return;
    }
    const bool called = is_called(m);
    const S edge = called ? coil.drop_out : coil.pull_in, share = S(S(1) / (inductance(m) * edge));
    if (called) out.greatest();
    for (const S& either_way : {S(-1), S(1)})
      out.begin().constant(S(called ? -1 : 1)).add(S(either_way * share), out.own(0));
  }
  Change fire(std::size_t k, const PartView<S>& at, Memory& m, S*) const {
    const Armature before = m.armature;
    const bool was_called = is_called(m);
    const S now = k == 1 ? m.due : at.time();  // the clock may be a digit short of the time due
    if (k == 0)
      turn(now, m);
    else
      go_on(m);
    // What lasts no time is passed over: a contact that changes at once is never open on both sides.
    while (value_of(m.due) <= value_of(now)) go_on(m);
    const char* why = k == 1 ? "time passed" : was_called ? "current below drop-out" : "current above pull-in";
    return {label, name(before), name(m.armature), why};
  }

  /// A through the coil, from a to b.
  [[nodiscard]] S current(const PartView<S>& at, const Memory& m) const { return S(at.own(0) / inductance(m)); }
  /// J in the coil. The flux stays as the armature moves; what it then loses has moved the armature.
  [[nodiscard]] S stored(const PartView<S>& at, const Memory& m) const {
    return S(S(0.5) * at.own(0) * at.own(0) / inductance(m));
  }
  [[nodiscard]] S dissipated(const PartView<S>& at, const Memory& m) const {
    const S amperes = current(at, m);
    S sum = S(coil.resistance * amperes * amperes);
    for (std::size_t k = 1; k < own_unknowns; ++k) sum += contact_resistance * at.own(k) * at.own(k);
    return sum;
  }
  /// Whether the work contacts, or the rest contacts, are made.
  [[nodiscard]] static bool works(const Memory& m) {
    return (m.armature == Armature::touching && m.edge % 2 == 0) || m.armature == Armature::held
           || m.armature == Armature::let_go;
  }
  [[nodiscard]] static bool rests(const Memory& m) {
    return (m.armature == Armature::settling && m.edge % 2 == 0) || m.armature == Armature::resting
           || m.armature == Armature::attracted;
  }
  /// H, with the armature where it is.
  [[nodiscard]] const S& inductance(const Memory& m) const {
    return is_closed(m) ? coil.inductance_closed : coil.inductance_open;
  }

 private:
  void check() const {
    const Check check{label};
    check.above("resistance", coil.resistance, 0.0, "ohm")
        .above("inductance_open", coil.inductance_open, 0.0, "H")
        .at_least("inductance_closed", coil.inductance_closed, double(value_of(coil.inductance_open)), "H")
        .above("pull_in", coil.pull_in, 0.0, "A")
        .above("drop_out", coil.drop_out, 0.0, "A")
        .that(value_of(S(coil.drop_out * coil.inductance_closed)) <= value_of(S(coil.pull_in * coil.inductance_open)),
              "drop_out", coil.drop_out, "A", "at most pull_in inductance_open / inductance_closed")
        .at_least("flight", times.flight, 0.0, "s")
        .at_least("pull_in time", times.pull_in, double(value_of(times.flight)), "s")
        .at_least("release time", times.release, double(value_of(times.flight)), "s")
        .between("bounces", double(times.bounce.bounces), 0, 1000, "")
        .at_least("contact_resistance", contact_resistance, 0.0, "ohm");
    if (times.bounce.bounces > 0) check.above("bounce time", times.bounce.time, 0.0, "s");
  }

  [[nodiscard]] static bool is_closed(const Memory& m) {
    return m.armature == Armature::touching || m.armature == Armature::held || m.armature == Armature::let_go;
  }
  [[nodiscard]] static bool used(Node node) { return node != ChangeOver::unused; }
  /// A side that is not used is an own unknown that stays 0.
  void write_side(PartEquations<S>& eq, Node common, Node side, bool made, std::size_t k) const {
    detail::write_contact(eq, common, used(side) ? side : common, made && used(side), contact_resistance, k);
  }

  /// True while the armature is pulled in or on its way there.
  [[nodiscard]] static bool is_called(const Memory& m) {
    return m.armature >= Armature::attracted && m.armature <= Armature::held;
  }

  void enter(Armature armature, const S& now, const S& lasts, Memory& m) const {
    m.armature = armature;
    m.begun = now;
    m.due = is_limited(lasts) ? S(now + lasts) : unlimited<S>();
    m.edge = 0;
  }
  /// The current has called the armature, or let it go.
  void turn(const S& now, Memory& m) const {
    switch (m.armature) {
    case Armature::resting:
    case Armature::settling: return enter(Armature::attracted, now, S(times.pull_in - times.flight), m);
    case Armature::attracted: return enter(Armature::resting, now, unlimited<S>(), m);
    case Armature::closing: return enter(Armature::opening, now, times.flight, m);
    case Armature::touching:
    case Armature::held: return enter(Armature::let_go, now, S(times.release - times.flight), m);
    case Armature::let_go: return enter(Armature::held, now, unlimited<S>(), m);
    case Armature::opening: return enter(Armature::closing, now, times.flight, m);
    }
  }
  /// A time has passed.
  void go_on(Memory& m) const {
    const S now = m.due;
    switch (m.armature) {
    case Armature::attracted: return enter(Armature::closing, now, times.flight, m);
    case Armature::closing: return come_down(Armature::touching, now, m);
    case Armature::let_go: return enter(Armature::opening, now, times.flight, m);
    case Armature::opening: return come_down(Armature::settling, now, m);
    case Armature::touching: return next_edge(Armature::held, m);
    case Armature::settling: return next_edge(Armature::resting, m);
    case Armature::held:
    case Armature::resting: return;
    }
  }
  void come_down(Armature armature, const S& now, Memory& m) const {
    enter(armature, now, S(0), m);
    m.due = edge_time(m);
  }
  /// Bounces are 2 n edges at equal intervals after the first touch; after the last the contact rests.
  void next_edge(Armature rest, Memory& m) const {
    if (m.edge == 2 * times.bounce.bounces) return enter(rest, m.due, unlimited<S>(), m);
    ++m.edge;
    m.due = edge_time(m);
  }
  [[nodiscard]] S edge_time(const Memory& m) const {
    const int edges = 2 * times.bounce.bounces, next = m.edge < edges ? m.edge + 1 : edges;
    if (edges == 0) return m.begun;
    return S(m.begun + times.bounce.time * S(Plain<S>(next) / Plain<S>(edges)));
  }
};

}  // namespace gastube
