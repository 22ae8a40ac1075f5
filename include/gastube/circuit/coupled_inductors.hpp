// SPDX-License-Identifier: MIT
#pragma once
/// Windings that share flux: two, three or more, coupled up to and including 1.

#include "gastube/circuit/part.hpp"
#include "gastube/support/checked.hpp"

namespace gastube {

/// One winding. The first node of each is its dotted end: currents into the dotted ends magnetise the same way.
template <Real S>
struct Winding {
  Node a, b;
  S inductance;         ///< H, above 0
  S resistance = S(0);  ///< ohm, at least 0
  S initial = S(0);     ///< A from a to b at the start
};

/// Number of pairs of W windings: 1 of two, 3 of three. Their order is 12, 13, 23 for three; 12, 13, 14, 23, ...
/// beyond.
template <std::size_t W>
inline constexpr std::size_t winding_pairs = W*(W - 1) / 2;

///   v = R i + d(L i)/dt,   L_kj = coupling_kj sqrt(L_k L_j)
///
/// Own unknowns: the currents that magnetise. With L = U' D U (U unit upper triangle, D diagonal) they are z = U i, and
/// the equations  C' (v - R i) = D dz/dt  with C the inverse of U. Where the coupling is 1 the last of D are 0, and
/// those equations state to the last digit that voltages are as the turns; L itself would hide that in its round-off.
/// To change a winding between steps, put a new part in its place.
template <Real S, std::size_t W>
struct CoupledInductors {
  static_assert(W >= 2, "a single winding is an Inductor");
  using Scalar = S;
  using Couplings = std::array<S, winding_pairs<W>>;
  static constexpr bool piecewise_linear = true;
  static constexpr std::size_t own_unknowns = W;
  std::array<Winding<S>, W> windings;
  Couplings couplings;  ///< of the pairs, -1 to 1; together they must leave no energy below 0
  const char* label = "coupled inductors";

  /// @throws InvalidParameter
  CoupledInductors(const std::array<Winding<S>, W>& coils, const Couplings& coupling)
      : windings(coils), couplings(coupling) {
    const Check check{label};
    for (const auto& w : windings)
      check.above("inductance", w.inductance, 0.0, "H")
          .at_least("resistance", w.resistance, 0.0, "ohm")
          .finite("initial", w.initial, "A");
    for (const S& k : couplings) check.between("coupling", k, -1.0, 1.0, "");
    reduce(check);
  }

  [[nodiscard]] std::array<Node, 2 * W> terminals() const {
    std::array<Node, 2 * W> nodes{};
    for (std::size_t k = 0; k < W; ++k) nodes[2 * k] = windings[k].a, nodes[2 * k + 1] = windings[k].b;
    return nodes;
  }
  [[nodiscard]] std::array<Link, W> links() const {
    std::array<Link, W> joined{};
    for (std::size_t k = 0; k < W; ++k) joined[k] = {windings[k].a, windings[k].b};
    return joined;
  }
  [[nodiscard]] Plain<S> nominal(std::size_t) const { return Plain<S>(1e-3); }
  void start(Starter<S>& starter) const {
    for (std::size_t k = 0; k < W; ++k) {
      S sum = windings[k].initial;
      for (std::size_t j = k + 1; j < W; ++j) sum += to_unknowns_[k][j] * windings[j].initial;
      starter.own(k, sum);
    }
  }
  void write(PartEquations<S>& eq, const NoMemory&) const {
    for (std::size_t k = 0; k < W; ++k) {
      eq.own_voltage(k, windings[k].a, windings[k].b);
      eq.own_store(k, S(-store_[k]));
      for (std::size_t row = k; row < W; ++row) add_winding(eq, row, k, to_currents_[k][row]);
      write_current(eq, k);
    }
  }
  /// A into the dotted end of winding k; meters and traces take the first.
  [[nodiscard]] S current(const PartView<S>& at, const NoMemory&, std::size_t k = 0) const {
    S sum(0);
    for (std::size_t j = k; j < W; ++j) sum += to_currents_[k][j] * at.own(j);
    return sum;
  }
  [[nodiscard]] S stored(const PartView<S>& at, const NoMemory&) const {
    S sum(0);
    for (std::size_t k = 0; k < W; ++k) sum += S(0.5) * store_[k] * at.own(k) * at.own(k);
    return sum;
  }
  [[nodiscard]] S dissipated(const PartView<S>& at, const NoMemory&) const {
    S sum(0);
    for (std::size_t k = 0; k < W; ++k) {
      const S amperes = current(at, NoMemory{}, k);
      sum += windings[k].resistance * amperes * amperes;
    }
    return sum;
  }
  /// V of the dotted end of winding k.
  [[nodiscard]] S voltage(const PartView<S>& at, std::size_t k) const {
    return at.across(windings[k].a, windings[k].b);
  }
  /// H; of a pair, the mutual inductance.
  [[nodiscard]] S inductance(std::size_t k, std::size_t j) const {
    return S(coupling(k, j) * math::sqrt(S(windings[k].inductance * windings[j].inductance)));
  }
  /// Coupling of two windings; 1 of a winding with itself.
  [[nodiscard]] S coupling(std::size_t k, std::size_t j) const {
    if (k == j) return S(1);
    const std::size_t first = k < j ? k : j, second = k < j ? j : k;
    return couplings[first * (2 * W - first - 1) / 2 + second - first - 1];
  }

 private:
  using Matrix = std::array<std::array<S, W>, W>;

  /// Splits the matrix of couplings, then puts the inductances in.
  void reduce(const Check& check) {
    Matrix rest;
    for (std::size_t k = 0; k < W; ++k)
      for (std::size_t j = 0; j < W; ++j) rest[k][j] = coupling(k, j), to_unknowns_[k][j] = S(k == j ? 1 : 0);
    for (std::size_t k = 0; k < W; ++k) {
      store_[k] = S(0);
      if (!has_own_flux(check, rest, k)) continue;
      store_[k] = S(rest[k][k] * windings[k].inductance);
      for (std::size_t j = k + 1; j < W; ++j) {
        const S share = S(rest[k][j] / rest[k][k]);
        for (std::size_t row = k + 1; row < W; ++row) rest[row][j] -= share * rest[row][k];
        to_unknowns_[k][j] = S(share * math::sqrt(S(windings[j].inductance / windings[k].inductance)));
      }
    }
    invert();
  }
  /// True if winding k has flux that no winding before it has. A share within rounding counts as none.
  static bool has_own_flux(const Check& check, const Matrix& rest, std::size_t k) {
    const Plain<S> rounding = Plain<S>(16) * round_off<S>, own = value_of(rest[k][k]);
    const bool any = own > rounding;
    bool possible = own >= -rounding;
    for (std::size_t j = k + 1; j < W && !any; ++j)
      possible = possible && math::abs(value_of(rest[k][j])) <= Plain<S>(4) * rounding;
    check.that(possible, "share of flux left to a winding", own, "",
               "such that the windings together store no energy below 0");
    return any;
  }
  void invert() {
    for (std::size_t j = 0; j < W; ++j)
      for (std::size_t row = W; row-- > 0;) {
        S sum = S(row == j ? 1 : 0);
        for (std::size_t k = row + 1; k <= j; ++k) sum -= to_unknowns_[row][k] * to_currents_[k][j];
        to_currents_[row][j] = row > j ? S(0) : sum;
      }
  }

  /// Adds a share of winding k's voltage, less what its resistance takes, to own equation `row`. That of the equation's
  /// own winding is there already.
  void add_winding(PartEquations<S>& eq, std::size_t row, std::size_t k, const S& share) const {
    const Winding<S>& w = windings[k];
    if (row != k) {
      eq.own_flow(row, S(share * eq.across(w.a, w.b)));
      eq.own_flow_by_node(row, w.a, share);
      eq.own_flow_by_node(row, w.b, S(-share));
    }
    const S ohms = S(-share * w.resistance);
    for (std::size_t j = k; j < W; ++j) {
      eq.own_flow(row, S(ohms * to_currents_[k][j] * eq.own(j)));
      eq.own_flow_by_own(row, j, S(ohms * to_currents_[k][j]));
    }
  }
  void write_current(PartEquations<S>& eq, std::size_t k) const {
    const Winding<S>& w = windings[k];
    eq.current(w.a, w.b, current(eq, NoMemory{}, k));
    for (std::size_t j = k; j < W; ++j) eq.current_slope_own(w.a, w.b, j, to_currents_[k][j]);
  }

  std::array<S, W> store_{};              // H, D
  Matrix to_unknowns_{}, to_currents_{};  // U and C
};

/// A into the dotted end of winding k of part number `part`, now.
template <class Run>
[[nodiscard]] auto winding_current(const Run& run, std::size_t part, std::size_t k) {
  typename Run::S amperes(0);
  std::size_t index = 0;
  run.system().look(run.instant(), run.mode(), [&](const auto& one, const auto& view, const auto& memory) {
    if constexpr (requires { one.current(view, memory, k); })
      if (index == part) amperes = one.current(view, memory, k);
    ++index;
  });
  return amperes;
}

}  // namespace gastube
