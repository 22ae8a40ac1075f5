// SPDX-License-Identifier: MIT
#pragma once
/// The parts of problems P1 to P5 that are not the library's own: tubes that are switches with a follower for residual
/// ionisation, a supply behind a lag, and P4's filament.

#include <gastube/circuit/part.hpp>

#include "values.hpp"

#include <cmath>
#include <deque>
#include <string>

namespace compare {

using gastube::FollowRate;
using gastube::ground_node;
using gastube::Node;
using gastube::PartEquations;
using gastube::PartMargin;
using gastube::PartView;

inline constexpr const char *blocked = "blocked", *conducting = "conducting";

/// "0", "1", ...: a tube's number as its label, which the observer reads back.
[[nodiscard]] inline const char* number_label(std::size_t k) {
  static std::deque<std::string> labels;
  while (labels.size() <= k) labels.push_back(std::to_string(labels.size()));
  return labels[k].c_str();
}

/// Where in a train of pulses a part is.
struct PulsePlace {
  long count = 0;
  bool high = false;
};
[[nodiscard]] inline double next_edge(const PulseTrain& train, const PulsePlace& place) {
  return train.delay + double(place.count) * train.period + (place.high ? train.width : 0);
}
inline void pass_edges(const PulseTrain& train, double time, PulsePlace& place) {
  while (next_edge(train, place) <= time) {
    if (place.high) ++place.count;
    place.high = !place.high;
  }
}

/// What all the tubes here share. Follower 0: residual ionisation.
struct SwitchTube {
  using Scalar = double;
  static constexpr std::size_t guards = 1;
  static constexpr bool piecewise_linear = true;
  Node plate, cathode;
  TubeValues values;
  const char* label;

  [[nodiscard]] std::array<Node, 2> terminals() const { return {plate, cathode}; }
  template <class Memory>
  [[nodiscard]] unsigned pattern(const Memory& m) const {
    return m.lit;
  }

 protected:
  void write_switch(PartEquations<double>& eq, bool lit) const {
    const double volts = eq.across(plate, cathode), siemens = lit ? 1 / values.ohms : values.leak;
    eq.conduct(plate, cathode, siemens * (volts - (lit ? values.drop : 0)), siemens);
  }
  [[nodiscard]] double current_guard(const PartView<double>& at) const {
    return (at.across(plate, cathode) - values.drop) / (values.ohms * values.holding) - 1;
  }
  [[nodiscard]] double strike_guard(const PartView<double>& at, double strike, double floor = 0) const {
    return floor + (strike - floor) * (1 - at.follower(0)) - at.across(plate, cathode);
  }
  void write_current_margin(PartMargin<double>& margin) const {
    const double siemens = 1 / (values.ohms * values.holding);
    margin.begin().constant(-siemens * values.drop - 1).across(siemens, plate, cathode);
  }
  /// What the strike voltage and the residual ionisation come to while the former stands still.
  void write_strike_margin(PartMargin<double>& margin, double strike, double floor = 0) const {
    margin.begin().constant(strike).add(floor - strike, margin.follower(0)).across(-1, plate, cathode);
  }
  /// A part of the strike voltage that moves: factor times a follower.
  void add_to_strike(PartMargin<double>& margin, double factor, std::size_t follower) const {
    margin.add(factor, margin.follower(follower));
    margin.add(-factor, margin.follower(follower), margin.follower(0));
  }
  [[nodiscard]] gastube::Change toggle(bool& lit, double* followers_now) const {
    lit = !lit;
    if (!lit) followers_now[0] = values.first_ions;
    return lit ? gastube::Change{label, blocked, conducting, "strikes"}
               : gastube::Change{label, conducting, blocked, "current falls below the holding current"};
  }
  static constexpr FollowRate<double> ions_decay{0, 1 / ion_time};
};

/// Strikes at a fixed voltage.
struct FixedTube : SwitchTube {
  static constexpr std::size_t followers = 1;
  struct Memory {
    bool lit = false;
  };
  double strike;

  FixedTube(Node plate_node, Node cathode_node, const TubeValues& tube, double volts)
      : SwitchTube{plate_node, cathode_node, tube, number_label(0)}, strike(volts) {}
  void write(PartEquations<double>& eq, const Memory& m) const { write_switch(eq, m.lit); }
  void follow(const PartView<double>&, const Memory&, FollowRate<double>* rates) const { rates[0] = ions_decay; }
  [[nodiscard]] double guard(std::size_t, const PartView<double>& at, const Memory& m) const {
    return m.lit ? current_guard(at) : strike_guard(at, strike);
  }
  void margin(std::size_t, PartMargin<double>& margin, const Memory& m) const {
    m.lit ? write_current_margin(margin) : write_strike_margin(margin, strike);
  }
  gastube::Change fire(std::size_t, const PartView<double>&, Memory& m, double* followers_now) const {
    return toggle(m.lit, followers_now);
  }
};

/// Its grid is pulsed from rest to 0. Follower 1: the grid's voltage above rest.
struct GridTube : SwitchTube {
  static constexpr std::size_t followers = 2;
  struct Memory {
    bool lit = false;
    PulsePlace place{};
  };
  GridValues grid;
  PulseTrain pulses;

  GridTube(Node plate_node, Node cathode_node, const TubeValues& tube, const GridValues& grid_values,
           const PulseTrain& train, std::size_t number)
      : SwitchTube{plate_node, cathode_node, tube, number_label(number)}, grid(grid_values), pulses(train) {}
  void write(PartEquations<double>& eq, const Memory& m) const { write_switch(eq, m.lit); }
  void follow(const PartView<double>&, const Memory& m, FollowRate<double>* rates) const {
    rates[0] = ions_decay;
    rates[1] = {m.place.high ? -grid.rest / grid.lag : 0, 1 / grid.lag};
  }
  [[nodiscard]] double guard(std::size_t, const PartView<double>& at, const Memory& m) const {
    if (m.lit) return current_guard(at);
    return strike_guard(at, grid.strike - grid.gain * (grid.rest + at.follower(1)));
  }
  void margin(std::size_t, PartMargin<double>& margin, const Memory& m) const {
    if (m.lit) return write_current_margin(margin);
    write_strike_margin(margin, grid.strike - grid.gain * grid.rest);
    add_to_strike(margin, -grid.gain, 1);
  }
  gastube::Change fire(std::size_t, const PartView<double>&, Memory& m, double* followers_now) const {
    return toggle(m.lit, followers_now);
  }
  [[nodiscard]] double next_breakpoint(double, const Memory& m) const { return next_edge(pulses, m.place); }
  void pass_breakpoint(double time, Memory& m) const { pass_edges(pulses, time, m.place); }
};

/// One of the ring. Follower 1: what the previous cathode prepares; follower 2: the pulse.
struct RingTube : SwitchTube {
  static constexpr std::size_t followers = 3;
  struct Memory {
    bool lit = false;
    PulsePlace place{};
  };
  Node previous;
  Ring ring;
  bool first;

  RingTube(Node anode, Node cathode_node, Node previous_cathode, const Ring& values_of_ring, std::size_t number)
      : SwitchTube{anode, cathode_node, values_of_ring.tube, number_label(number)}
      , previous(previous_cathode)
      , ring(values_of_ring)
      , first(number == 0) {}
  [[nodiscard]] std::array<Node, 3> terminals() const { return {plate, cathode, previous}; }
  [[nodiscard]] Memory memory(double) const { return {first, {}}; }
  void write(PartEquations<double>& eq, const Memory& m) const { write_switch(eq, m.lit); }
  void follow(const PartView<double>& at, const Memory& m, FollowRate<double>* rates) const {
    rates[0] = ions_decay;
    rates[1] = {at.voltage(previous) / ring.prepare_lag, 1 / ring.prepare_lag};
    rates[2] = {m.place.high ? ring.pulse / ring.pulse_lag : 0, 1 / ring.pulse_lag};
  }
  [[nodiscard]] double guard(std::size_t, const PartView<double>& at, const Memory& m) const {
    if (m.lit) return current_guard(at);
    return strike_guard(at, ring.strike - at.follower(1) - ring.gain * at.follower(2), ring.floor);
  }
  void margin(std::size_t, PartMargin<double>& margin, const Memory& m) const {
    if (m.lit) return write_current_margin(margin);
    write_strike_margin(margin, ring.strike, ring.floor);
    add_to_strike(margin, -1, 1);
    add_to_strike(margin, -ring.gain, 2);
  }
  gastube::Change fire(std::size_t, const PartView<double>&, Memory& m, double* followers_now) const {
    return toggle(m.lit, followers_now);
  }
  [[nodiscard]] double next_breakpoint(double, const Memory& m) const { return next_edge(ring.pulses, m.place); }
  void pass_breakpoint(double time, Memory& m) const { pass_edges(ring.pulses, time, m.place); }
};

/// A supply that is pulsed to 0 through a lag. Own unknown: the current drawn from `plus`; follower 0: volts below
/// full.
struct LaggedSupply {
  using Scalar = double;
  static constexpr std::size_t own_unknowns = 1, followers = 1;
  struct Memory {
    PulsePlace place{};
  };
  Node plus;
  double volts, lag;
  PulseTrain pulses;
  const char* label = "lagged supply";

  [[nodiscard]] std::array<Node, 2> terminals() const { return {plus, ground_node}; }
  [[nodiscard]] double nominal(std::size_t) const { return 1e-3; }
  void write(PartEquations<double>& eq, const Memory&) const {
    eq.branch(plus, ground_node, 0);
    eq.own_voltage(0, plus, ground_node);
    eq.own_flow(0, eq.follower(0) - volts);
  }
  void follow(const PartView<double>&, const Memory& m, FollowRate<double>* rates) const {
    rates[0] = {m.place.high ? volts / lag : 0, 1 / lag};
  }
  [[nodiscard]] double next_breakpoint(double, const Memory& m) const { return next_edge(pulses, m.place); }
  void pass_breakpoint(double time, Memory& m) const { pass_edges(pulses, time, m.place); }
};

/// P4's filament: resistance in proportion to its temperature, which is its own unknown.
struct Filament {
  using Scalar = double;
  static constexpr std::size_t own_unknowns = 1;
  Node a, b;
  LampLatch latch;
  double power = latch.hot_power();
  const char* label = "filament";

  [[nodiscard]] std::array<Node, 2> terminals() const { return {a, b}; }
  void start(gastube::Starter<double>& starter) const { starter.own(0, latch.start); }
  [[nodiscard]] bool slow(std::size_t) const { return true; }
  void write(PartEquations<double>& eq, const gastube::NoMemory&) const {
    const double x = std::fmax(eq.own(0), 1e-3);  // a trial may pass through zero
    const double siemens = 1 / (latch.filament * x), volts = eq.across(a, b), amperes = volts * siemens;
    eq.conduct(a, b, amperes, siemens);
    eq.current_slope_own(a, b, 0, -amperes / x);
    const double heating = volts * amperes / power, t = eq.own(0);
    eq.own_store(0, latch.heat_time);
    eq.own_flow(0, t * t * t * t - latch.cold - heating);
    eq.own_flow_by_node(0, a, -2 * amperes / power);
    eq.own_flow_by_node(0, b, 2 * amperes / power);
    eq.own_flow_by_own(0, 0, 4 * t * t * t + heating / x);
  }
};

}  // namespace compare
