// SPDX-License-Identifier: MIT
#pragma once
/// Current sources: any waveform as a current, at any voltage.

#include "gastube/circuit/waveform.hpp"

namespace gastube {

/// Drives its current through itself from `from` to `to`: out of the node `to` into the circuit.
template <Waveform W>
struct CurrentSource : detail::Following<W> {
  using Scalar = typename W::Scalar;
  using S = Scalar;
  using Memory = typename detail::MemoryOf<W>::type;
  Node from, to;
  const char* label = "current source";

  /// @throws InvalidParameter
  CurrentSource(Node out_of, Node into, const W& shape) : detail::Following<W>{shape}, from(out_of), to(into) {
    this->wave.check(Check{label});
  }
  [[nodiscard]] std::array<Node, 2> terminals() const { return {from, to}; }
  [[nodiscard]] std::array<Link, 1> links() const { return {{{from, to, Joint::drives}}}; }
  void write(PartEquations<S>& eq, const Memory& m) const { eq.current(from, to, this->wave.value(eq.time(), m)); }
  template <class Take>
  void inject(const S& time, const Memory& m, Take&& take) const requires detail::Following<W>::piecewise_linear {
    const Drive<S> d = this->wave.drive(time, m);
    take(to, d);
    take(from, Drive<S>{0, S(-d.level), S(-d.slope), S(-d.cosine), S(-d.sine), d.turn});
  }
  /// A, from `from` to `to`.
  [[nodiscard]] S current(const PartView<S>& at, const Memory& m) const { return this->wave.value(at.time(), m); }
  [[nodiscard]] S delivered(const PartView<S>& at, const Memory& m) const {
    return S(at.across(to, from) * current(at, m));
  }
};

/// A steady current, A.
template <Real S>
[[nodiscard]] CurrentSource<SteadyWave<S>> steady_current(Node from, Node to, const S& amperes) {
  return {from, to, SteadyWave<S>{amperes}};
}

}  // namespace gastube
