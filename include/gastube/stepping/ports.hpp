// SPDX-License-Identifier: MIT
#pragma once
/// Measures many ports with one factorisation. A port is measured while the current of its own part is held, which
/// replaces one equation; the answer follows from that of the unchanged equations by an update of rank one:
/// J. Sherman and W. J. Morrison, "Adjustment of an inverse matrix corresponding to a change in one element of a given
/// matrix", Annals of Mathematical Statistics 21, 124 (1950).

#include "gastube/stepping/position.hpp"
#include "gastube/support/math.hpp"

#include <vector>

namespace gastube {

namespace detail {
/// x[plus] - x[minus].
template <class Unknowns>
[[nodiscard]] auto across(const Port& port, const Unknowns& x) {
  typename Unknowns::value_type volts(0);
  if (port.plus != Port::no_row) volts += x[port.plus];
  if (port.minus != Port::no_row) volts -= x[port.minus];
  return volts;
}
}  // namespace detail

/// The ports of a system that are being asked, with their answers. Empty for systems of fixed size, whose few ports are
/// measured one by one.
template <HybridSystem System>
class AskedPorts {
 public:
  explicit AskedPorts(const System&) {}
};

template <HybridSystem System>
  requires(System::extent == dynamic_extent && requires(const System& s) { s.ports(); })
class AskedPorts<System> {
 public:
  using S = typename System::Scalar;
  using P = Plain<S>;
  struct Asked {
    std::size_t number;
    Port port;
    PortReading<S> reading;
  };

  explicit AskedPorts(const System& system) {
    asked_.reserve(system.ports());
    if (system.ports() == 0) return;
    step_.resize(system.unknowns());
    push_.resize(system.unknowns());
    free_.resize(system.unknowns());
  }

  void begin() { asked_.clear(); }
  void ask(std::size_t number, const Port& port) { asked_.push_back({number, port, {}}); }
  [[nodiscard]] std::vector<Asked>& asked() { return asked_; }

  /// Keeps the step of the unchanged equations. @param right their right-hand side
  template <class Factors>
  void take_step(Factors& factors, const std::vector<S>& right) {
    step_ = right;
    factors.solve(step_.data());
  }
  /// Measures one port over a step of `length`, whose matrix is in the factors.
  /// @return false if too few digits would be left: without its own current the port is hardly held at all
  template <class Factors>
  [[nodiscard]] bool measure(Factors& factors, Asked& asked, const Position<System>& at, P length, bool steadily) {
    const Port& port = asked.port;
    for (S& p : push_) p = S(0);
    if (port.plus != Port::no_row) push_[port.plus] = S(length);
    if (port.minus != Port::no_row) push_[port.minus] = S(-length);
    factors.solve(push_.data());
    for (S& f : free_) f = S(0);
    free_[port.branch] = S(1);
    factors.solve(free_.data());  // what changes if the branch's own equation is let go
    const S yields = free_[port.branch], unheld = detail::across(port, push_), by_branch = detail::across(port, free_);
    if (!(math::abs(value_of(yields)) > P(0))) return false;
    const S resistance = S(unheld - push_[port.branch] / yields * by_branch);
    if (!(math::abs(value_of(resistance)) < P(1e4) * math::abs(value_of(unheld)))) return false;
    (steadily ? asked.reading.steady_resistance : asked.reading.resistance) = resistance;
    if (!steadily) return true;
    const S change = S((S(-at.x[port.branch]) - step_[port.branch]) / yields);
    asked.reading.steady_voltage = S(detail::across(port, at.x) + detail::across(port, step_) + change * by_branch);
    return true;
  }

 private:
  std::vector<Asked> asked_;
  std::vector<S> step_, push_, free_;
};

}  // namespace gastube
