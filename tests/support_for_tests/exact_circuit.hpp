// SPDX-License-Identifier: MIT
#pragma once
/// Circuits of ordinary parts and ideal tubes, all of one type, run by the exact scheme: a test file compiles one
/// stepper for many of them.

#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/contact.hpp>
#include <gastube/circuit/inductor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/tube/family/ideal.hpp>
#include <gastube/tube/recovery/exponential_recovery.hpp>

#include <vector>

template <class S>
struct ExactCircuit {
  using Tube = gastube::Thyratron<gastube::IdealLaws<S, gastube::ExponentialRecovery<S>>>;

  std::size_t nodes;  ///< with ground
  std::vector<gastube::DcSource<S>> sources = {};
  std::vector<gastube::PulseSource<S>> pulses = {};
  std::vector<gastube::SineSource<S>> sines = {};
  std::vector<gastube::Resistor<S>> resistors = {};
  std::vector<gastube::Capacitor<S>> capacitors = {};
  std::vector<gastube::Inductor<S>> inductors = {};
  std::vector<gastube::Contact<S>> contacts = {};
  std::vector<gastube::WiredTube<Tube>> tubes = {};

  [[nodiscard]] auto wired() const {
    return gastube::wire_dynamic(nodes, sources, pulses, sines, resistors, capacitors, inductors, contacts, tubes);
  }
  [[nodiscard]] auto start(const gastube::Settings<S>& settings = {},
                           gastube::Beginning beginning = gastube::Beginning::as_given) const {
    return gastube::start<gastube::Exact>(wired(), settings, beginning);
  }
  /// Also one that is wired by mistake.
  [[nodiscard]] auto start_unchecked() const { return gastube::start_unchecked<gastube::Exact>(wired()); }
};

/// Opens or closes a contact of a run, by its place among them.
template <class Run>
gastube::Status set_contact(Run& run, std::size_t contact, bool closed) {
  return run.alter([&](auto&, auto& mode) { std::get<6>(mode)[contact].closed = closed; });
}

/// 250 V charge 10 nF through 100 kohm; a tube that strikes at 100 V with its grid at -5 V, and drops 16 V and 50 ohm
/// down to 5 mA, discharges it. It recovers with 30 us from a thirtieth of its control above the floor.
template <class S>
struct Flasher {
  enum { ground, supply, plate, grid, node_count };
  S volts = S(250), ohms = S(100e3), farads = S(10e-9L), drop = S(16), slope = S(50), least = S(5e-3L),
    recovery = S(30e-6L), ions = S(0.97L), bias = S(-5);

  [[nodiscard]] ExactCircuit<S> circuit() const {
    const gastube::IdealTube<S> type{
        .control_ratio = S(20), .arc_drop = drop, .sustaining_current = least, .arc_resistance = slope};
    const auto tube = type.build(gastube::ExponentialRecovery<S>{recovery, ions});
    return {.nodes = node_count,
            .sources = {{supply, ground, volts}, {grid, ground, bias}},
            .resistors = {{supply, plate, ohms}},
            .capacitors = {{plate, ground, farads}},
            .tubes = {gastube::wired(tube, {.plate = plate, .grid = grid, .cathode = ground})}};
  }
};
