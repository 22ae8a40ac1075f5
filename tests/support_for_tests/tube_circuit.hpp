// SPDX-License-Identifier: MIT
#pragma once
/// Circuits of tubes of one type with ordinary parts around them, all of one type, so that a test file compiles one
/// stepper for many of them.

#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/contact.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/circuit/wired_tube.hpp>

#include "support_for_tests/shared_run.hpp"
#include "support_for_tests/tight.hpp"

#include <vector>

template <class Tube>
struct TubeCircuit {
  using S = typename Tube::Scalar;
  std::size_t nodes;  ///< with ground
  std::vector<gastube::WiredTube<Tube>> tubes = {};
  std::vector<gastube::DcSource<S>> sources = {};
  std::vector<gastube::PulseSource<S>> pulses = {};
  std::vector<gastube::SineSource<S>> sines = {};
  std::vector<gastube::Resistor<S>> resistors = {};
  std::vector<gastube::Capacitor<S>> capacitors = {};
  std::vector<gastube::Contact<S>> contacts = {};

  [[nodiscard]] auto start() const {
    return shared_start(gastube::wire_dynamic(nodes, tubes, sources, pulses, sines, resistors, capacitors, contacts),
                        tight<S>());
  }
};

/// Changes a steady source of a run, by its place among them.
template <class Run>
gastube::Status set_source(Run& run, std::size_t source, double volts) {
  return run.alter([&](auto& circuit, auto&) { circuit.template entry<1>()[source].voltage = typename Run::S(volts); });
}
