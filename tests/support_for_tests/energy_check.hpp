// SPDX-License-Identifier: MIT
#pragma once
/// Runs a circuit again with its energy counted, and checks that the books close.

#include <gastube/circuit/energy_balance.hpp>

#include "support_for_tests/shared_run.hpp"

#include <doctest/doctest.h>

namespace energy_check {

/// What the books of a run show.
struct Findings {
  gastube::EnergyBook<double> book;
  double charge_error;  ///< of the jumps, share of all charges
  double least_lost;    ///< J, in any one jump
};

/// The books of a run of `length` seconds with that scheme.
template <class Scheme = gastube::SchemeByCircuit, std::size_t Nodes, class... Entries>
[[nodiscard]] Findings books(const gastube::Circuit<Nodes, Entries...>& circuit, double length,
                             const gastube::Settings<double>& settings = {},
                             gastube::Beginning beginning = gastube::Beginning::as_given) {
  auto run = shared_start<Scheme>(gastube::audited(circuit), settings, beginning);
  gastube::EnergyBalance balance(run);
  REQUIRE(run.run_until(length, balance) == gastube::Status::done);
  return {balance.book(run), balance.charge_error(), balance.least_lost()};
}
/// @param allowed residue as a share of the energy moved
inline void check(const Findings& found, double allowed) {
  const double share = found.book.share();
  CAPTURE(found.book.delivered);
  CAPTURE(found.book.dissipated);
  CAPTURE(found.book.stored_change);
  CAPTURE(found.book.lost);
  CHECK(found.book.moved() > 0);
  CHECK(share < allowed);
  CHECK(found.charge_error < allowed);
  CHECK(found.least_lost > -allowed * found.book.moved());
}

}  // namespace energy_check

/// Checks the energy of a run of the exact scheme, anew from the same start with the same settings: to 1e-9.
template <gastube::PiecewiseLinearSystem System>
void check_energy(const gastube::ExactStepper<System>& run, double length,
                  gastube::Beginning beginning = gastube::Beginning::as_given) {
  energy_check::check(energy_check::books<gastube::Exact>(run.system(), length, run.settings(), beginning), 1e-9);
}
/// The same of a run of any other scheme, to what that reaches with these settings.
template <class System, gastube::AnyScheme Scheme>
void check_energy(const gastube::Stepper<System, Scheme>& run, double length, double allowed,
                  gastube::Beginning beginning = gastube::Beginning::as_given) {
  energy_check::check(energy_check::books<Scheme>(run.system(), length, run.settings(), beginning), allowed);
}
/// The same of runs by the shared stepper.
template <class Wired>
void check_energy(const SharedRun<Wired, gastube::Exact>& run, double length,
                  gastube::Beginning beginning = gastube::Beginning::as_given) {
  energy_check::check(energy_check::books<gastube::Exact>(run.system(), length, run.settings(), beginning), 1e-9);
}
template <class Wired, gastube::AnyScheme Scheme>
void check_energy(const SharedRun<Wired, Scheme>& run, double length, double allowed,
                  gastube::Beginning beginning = gastube::Beginning::as_given) {
  energy_check::check(energy_check::books<Scheme>(run.system(), length, run.settings(), beginning), allowed);
}
