// SPDX-License-Identifier: MIT
#pragma once
/// What a part of a circuit sees and writes, and the full list of what it may offer.
///
/// A part is a small value that names the nodes it joins (node 0 is ground). A part of your own needs no change to the
/// library. It must have
///   using Scalar = S;
///   const char* label;                          // names it in errors and logs
///   write(PartEquations<S>&, const Memory&) const;
///   terminals() const;                          // std::array of the nodes it joins
/// and may have, with these defaults where it has not:
///   own_unknowns, followers, guards             // static constexpr std::size_t, 0
///   Memory, memory(time)                        // its discrete state; NoMemory
///   start(Starter<S>&)                          // initial values of its own unknowns and capacitor voltages; 0
///   nominal(k)                                  // ordinary size of own unknown k; 1
///   follow(PartView<S>, memory, FollowRate<S>*) // rates of its followers
///   followers_act                               // static constexpr bool: false if only guards look at them; true
///   guard(k, PartView<S>, memory)               // positive while it lasts
///   opens(k, memory)                            // true if event k breaks its current; false
///   fire(k, PartView<S>, memory&, S* followers) // what happens at event k; returns a Change
///   next_breakpoint(time, memory)               // next corner of its schedule; unlimited
///   pass_breakpoint(time, memory&)              // enters what begins then
///   longest_step(memory)                        // s, so short that its changes are seen between corners; unlimited
///   port(memory), accept_port(reading, memory&) // asks how stiffly the circuit holds it
///   steady_need(memory)                         // V, steady, where what it makes of the reading changes
///   slow(k)                                     // true if own unknown k is a slow one, as a temperature; false
///   links()                                     // std::array<Link>, for the check of wiring; all terminals conduct
///   current(PartView<S>, memory)                // A, its main current, for meters and traces
/// and, to have its energy booked (energy_balance.hpp), what applies of
///   delivered(PartView<S>, memory)              // W that it puts into the circuit, counted by currents and voltages
///   dissipated(PartView<S>, memory)             // W that it turns into heat, light or other work
///   stored(PartView<S>, memory)                 // J held in its charges and fluxes
/// and, to be stepped exactly, from event to event:
///   piecewise_linear                            // static constexpr bool: write() is linear in every state; false
///   pattern(memory)                             // 0 to 255: where it is equal, write() and follow() differ by the
///                                               // drive alone; parts without it are the same in all states
///   drive(time, memory)                         // what time alone changes in write(), row counted from own unknown 0
///   inject(time, memory, take)                  // the same for currents: take(node, drive) into each node
///   margin(k, PartMargin<S>&, memory)           // guard k written out; nothing for one that cannot fall; may return
///                                               // false for one that has no such form
///   follows_straight(k)                         // false if the source of follower k is not linear; true

#include "gastube/stepping/linear.hpp"

namespace gastube {

/// Number of a node; 0 is ground. Unscoped enumerators serve as names.
using Node = int;
inline constexpr Node ground_node = 0;

/// How two terminals are joined inside a part, as far as the check of wiring (wiring_check.hpp) asks.
enum class Joint {
  conducts,   ///< a path for steady current, at least at times
  holds,      ///< an ideal voltage source
  stores,     ///< charge only: no steady current
  drives,     ///< a current source, at any voltage
  controls,   ///< a grid or trigger against its cathode: all but no current, but its voltage matters
  insulated,  ///< nothing but insulation: a heater against its cathode
};
/// Where both nodes are the same the link says nothing.
struct Link {
  Node a, b;
  Joint joint = Joint::conducts;
  const char* terminal = "";  ///< what stands at node a, where that is not plain
};

/// For parts without discrete state.
struct NoMemory {};

/// Where a part's own rows stand in the circuit's vectors.
struct PartPlace {
  std::size_t own = 0;       ///< first own unknown
  std::size_t follower = 0;  ///< first follower
};

/// What a part sees at one instant.
template <Real S>
class PartView {
 public:
  PartView(const Instant<S>& at, const PartPlace& place) : at_(at), place_(place) {}

  [[nodiscard]] S time() const { return at_.time; }
  /// V against ground.
  [[nodiscard]] S voltage(Node node) const { return node == ground_node ? S(0) : at_.x[row(node)]; }
  /// V of node a against node b.
  [[nodiscard]] S across(Node a, Node b) const { return S(voltage(a) - voltage(b)); }
  /// The part's own unknown k.
  [[nodiscard]] const S& own(std::size_t k) const { return at_.x[place_.own + k]; }
  /// The part's follower k.
  [[nodiscard]] const S& follower(std::size_t k) const { return at_.y[place_.follower + k]; }

 protected:
  [[nodiscard]] static std::size_t row(Node node) { return static_cast<std::size_t>(node - 1); }
  Instant<S> at_;
  PartPlace place_;
};

/// What a part sees, and where it writes its currents and charges. Currents count from their first node to their
/// second.
template <Real S>
class PartEquations : public PartView<S> {
 public:
  PartEquations(const Instant<S>& at, const PartPlace& place, Equations<S>& equations)
      : PartView<S>(at, place), equations_(equations) {}

  /// A current, without slopes.
  void current(Node from, Node to, const S& amperes) {
    if (from != ground_node) equations_.flow(this->row(from), amperes);
    if (to != ground_node) equations_.flow(this->row(to), S(-amperes));
  }
  /// Slope of such a current by the voltage of a node, A/V.
  void current_slope(Node from, Node to, Node by, const S& slope) {
    if (by != ground_node) current_slope_by(from, to, this->row(by), slope);
  }
  /// Slope of such a current by own unknown k.
  void current_slope_own(Node from, Node to, std::size_t k, const S& slope) {
    current_slope_by(from, to, this->place_.own + k, slope);
  }
  /// A current that depends on the voltage between its own nodes, with that slope in siemens.
  void conduct(Node from, Node to, const S& amperes, const S& siemens) {
    current(from, to, amperes);
    current_slope(from, to, from, siemens);
    current_slope(from, to, to, S(-siemens));
  }
  /// Own unknown k is a current from one node to the other.
  void branch(Node from, Node to, std::size_t k) {
    current(from, to, this->own(k));
    current_slope_own(from, to, k, S(1));
  }
  /// A linear capacitance between two nodes, F.
  void capacitance(Node a, Node b, const S& farads) {
    store(a, a, farads);
    store(b, b, farads);
    store(a, b, S(-farads));
    store(b, a, S(-farads));
  }

  /// Adds to the part's own equation k:  d/dt(stored) + flow = 0.
  void own_flow(std::size_t k, const S& value) { equations_.flow(this->place_.own + k, value); }
  void own_flow_by_node(std::size_t k, Node by, const S& slope) {
    if (by != ground_node) equations_.flow_slope(this->place_.own + k, this->row(by), slope);
  }
  void own_flow_by_own(std::size_t k, std::size_t by, const S& slope) {
    equations_.flow_slope(this->place_.own + k, this->place_.own + by, slope);
  }
  /// Adds the voltage of node a against node b to own equation k, with slopes. Own unknown k must be a current from a
  /// to b.
  void own_voltage(std::size_t k, Node a, Node b) {
    own_flow(k, this->across(a, b));
    own_flow_by_node(k, a, S(1));
    own_flow_by_node(k, b, S(-1));
    if (value_of(equations_.give()) > Plain<S>(0)) {
      own_flow(k, S(-equations_.give() * this->own(k)));
      own_flow_by_own(k, k, S(-equations_.give()));
    }
  }
  /// Stores capacity * own unknown k in own equation k.
  void own_store(std::size_t k, const S& capacity) {
    equations_.store(this->place_.own + k, this->place_.own + k, capacity);
  }
  /// Stores capacity * own unknown `by` in own equation k (mutual inductance).
  void own_store_by(std::size_t k, std::size_t by, const S& capacity) {
    equations_.store(this->place_.own + k, this->place_.own + by, capacity);
  }

 private:
  void current_slope_by(Node from, Node to, std::size_t column, const S& slope) {
    if (from != ground_node) equations_.flow_slope(this->row(from), column, slope);
    if (to != ground_node) equations_.flow_slope(this->row(to), column, S(-slope));
  }
  void store(Node at, Node by, const S& farads) {
    if (at != ground_node && by != ground_node) equations_.store(this->row(at), this->row(by), farads);
  }

  Equations<S>& equations_;
};

/// Where a part writes a guard out, in its own nodes, unknowns and followers; see Margin. Every function adds to the
/// sum begun last.
template <Real S>
class PartMargin {
 public:
  using Quantity = typename Margin<S>::Quantity;

  PartMargin(const PartPlace& place, Margin<S>& margin) : place_(place), margin_(margin) {}

  [[nodiscard]] Quantity own(std::size_t k) const { return Margin<S>::unknown(place_.own + k); }
  [[nodiscard]] Quantity follower(std::size_t k) const { return Margin<S>::follower(place_.follower + k); }

  /// Begins a sum; needed before anything is added.
  PartMargin& begin() {
    margin_.begin();
    return *this;
  }
  /// Begins a sum in the group of the one before.
  PartMargin& join() {
    margin_.join();
    return *this;
  }
  PartMargin& greatest() {
    margin_.greatest();
    return *this;
  }
  PartMargin& constant(const S& value) {
    margin_.constant(value);
    return *this;
  }
  PartMargin& per_second(const S& value) {
    margin_.per_second(value);
    return *this;
  }
  PartMargin& add(const S& factor, const Quantity& a, const Quantity& b = {}) {
    margin_.add(factor, a, b);
    return *this;
  }
  /// Adds factor times the voltage of node a against node b, times another quantity if one is given.
  PartMargin& across(const S& factor, Node a, Node b, const Quantity& times = {}) {
    if (a == b) return *this;
    if (a != ground_node) margin_.add(factor, node(a), times);
    if (b != ground_node) margin_.add(S(-factor), node(b), times);
    return *this;
  }

 private:
  [[nodiscard]] static Quantity node(Node n) { return Margin<S>::unknown(static_cast<std::size_t>(n - 1)); }

  PartPlace place_;
  Margin<S>& margin_;
};

/// Collects initial values before a run. Capacitors tie their nodes at their initial voltage; a circuit calls start()
/// of its parts again and again until nothing new is learnt.
template <Real S>
class Starter {
 public:
  /// @param x unknowns to fill, @param known one flag a node (ground first, known)
  Starter(S* x, char* known) : x_(x), known_(known) {}

  /// Node a starts `volts` above node b.
  void tie(Node a, Node b, const S& volts) {
    const bool a_known = known_[a] != 0, b_known = known_[b] != 0;
    if (a_known && b_known) {
      const Plain<S> at_a = value_of(voltage(a)), at_b = value_of(voltage(b)), wanted = value_of(volts);
      const Plain<S> rounding = Plain<S>(16) * round_off<S> * (math::abs(at_a) + math::abs(at_b));
      const Plain<S> allowed = Plain<S>(1e-6) * (Plain<S>(1) + math::abs(wanted)) + rounding;
      if (math::abs(Plain<S>(at_a - at_b - wanted)) > allowed) contradiction_ = true;
    } else if (a_known) {
      learn(b, S(voltage(a) - volts));
    } else if (b_known) {
      learn(a, S(voltage(b) + volts));
    } else if (floating_ == ground_node) {
      floating_ = a;
    }
  }
  /// Initial value of own unknown k.
  void own(std::size_t k, const S& value) { x_[place_.own + k] = value; }

  /// For the circuit: which part speaks next; whether it contradicted what was known before.
  void place(const PartPlace& place) {
    place_ = place;
    contradiction_ = false;
  }
  [[nodiscard]] bool contradiction() const noexcept { return contradiction_; }
  /// For the circuit: true if another round may learn more.
  [[nodiscard]] bool next_round() {
    if (!learnt_ && floating_ != ground_node) learn(floating_, S(0));
    const bool again = learnt_;
    learnt_ = false;
    floating_ = ground_node;
    return again;
  }

 private:
  [[nodiscard]] S voltage(Node node) const { return node == ground_node ? S(0) : x_[node - 1]; }
  void learn(Node node, const S& volts) {
    x_[node - 1] = volts;
    known_[node] = 1;
    learnt_ = true;
  }

  S* x_;
  char* known_;
  PartPlace place_;
  Node floating_ = ground_node;
  bool learnt_ = false, contradiction_ = false;
};

/// A port asked for by a part: the nodes it looks out from and its own unknown that is held meanwhile.
struct PartPort {
  Node plus = ground_node, minus = ground_node;
  std::size_t own = 0;
  bool wanted = false, urgent = false;
};

/// J in a linear capacitance between two nodes.
template <Real S>
[[nodiscard]] S capacitance_energy(const PartView<S>& at, Node a, Node b, const S& farads) {
  const S volts = at.across(a, b);
  return S(S(0.5) * farads * volts * volts);
}

/// Gives a part its name for errors and logs.
template <class Part>
[[nodiscard]] Part named(const char* label, Part part) {
  part.label = label;
  return part;
}

/// The minimum of a part.
template <class Part>
concept CircuitPart = Real<typename Part::Scalar> && requires(const Part part) {
  { part.label } -> std::convertible_to<const char*>;
  part.terminals();
};

namespace detail {
template <class Part>
inline constexpr std::size_t own_unknowns_of = [] {
  if constexpr (requires { Part::own_unknowns; })
    return std::size_t(Part::own_unknowns);
  else
    return std::size_t(0);
}();
template <class Part>
inline constexpr std::size_t followers_of = [] {
  if constexpr (requires { Part::followers; })
    return std::size_t(Part::followers);
  else
    return std::size_t(0);
}();
template <class Part>
inline constexpr std::size_t guards_of = [] {
  if constexpr (requires { Part::guards; })
    return std::size_t(Part::guards);
  else
    return std::size_t(0);
}();
template <class Part>
inline constexpr bool followers_act_of = [] {
  if constexpr (requires { Part::followers_act; })
    return bool(Part::followers_act);
  else
    return followers_of<Part> > 0;
}();
template <class Part>
struct MemoryOf {
  using type = NoMemory;
};
template <class Part>
  requires requires { typename Part::Memory; }
struct MemoryOf<Part> {
  using type = typename Part::Memory;
};
template <class Part>
inline constexpr bool writes_margins = requires(const Part part, const typename MemoryOf<Part>::type memory,
                                                PartMargin<typename Part::Scalar> margin) {
  part.margin(std::size_t(0), margin, memory);
};
/// A part that says so; and its guards, if it has any, can be written out.
template <class Part>
inline constexpr bool is_piecewise_linear = [] {
  if constexpr (requires { Part::piecewise_linear; })
    return bool(Part::piecewise_linear) && (guards_of<Part> == 0 || writes_margins<Part>);
  else
    return false;
}();
template <class Part>
inline constexpr bool has_pattern = requires(const Part part, const typename MemoryOf<Part>::type memory) {
  part.pattern(memory);
};
template <class Part>
inline constexpr bool has_port = requires(const Part part, const typename MemoryOf<Part>::type memory) {
  part.port(memory);
};
}  // namespace detail

}  // namespace gastube
