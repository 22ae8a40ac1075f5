// SPDX-License-Identifier: MIT
#pragma once
/// Circuits of ordinary parts, all of one type for each scalar, so that a test file compiles one stepper for many of
/// them.

#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/contact.hpp>
#include <gastube/circuit/inductor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>

#include "support_for_tests/shared_run.hpp"
#include "support_for_tests/tight.hpp"

#include <vector>

template <class S>
struct BenchCircuit {
  std::size_t nodes;  ///< with ground
  std::vector<gastube::DcSource<S>> sources = {};
  std::vector<gastube::Resistor<S>> resistors = {};
  std::vector<gastube::Capacitor<S>> capacitors = {};
  std::vector<gastube::Inductor<S>> inductors = {};
  std::vector<gastube::Contact<S>> contacts = {};

  [[nodiscard]] auto wired() const {
    return gastube::wire_dynamic(nodes, sources, resistors, capacitors, inductors, contacts);
  }
  [[nodiscard]] auto start() const { return shared_start(wired(), tight<S>()); }
};

/// Opens or closes a contact of a run, by its place among the contacts.
template <class Run>
gastube::Status set_contact(Run& run, std::size_t contact, bool closed) {
  return run.alter([&](auto&, auto& mode) { std::get<4>(mode)[contact].closed = closed; });
}
