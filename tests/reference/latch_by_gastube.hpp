// SPDX-License-Identifier: MIT
#pragma once
/// The lamp latch as a circuit of this library, of fixed size or of a size known at run time.

#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/filament_lamp.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>

#include "latch_values.hpp"

#include <span>
#include <stdexcept>
#include <string_view>

namespace latch {

enum Node { ground, line, lamp, plate_a, plate_b, set_drive, grid_a, reset_drive, grid_b, node_count };

namespace detail {
[[nodiscard]] inline gastube::PulseSource<double> source(gastube::Node node, const Drive& d) {
  return {node, ground, {d.low, d.high, d.delay, d.width, d.period, d.rise, d.fall}};
}
/// Calls wire(parts...).
template <class Wire>
[[nodiscard]] auto build(const Values& v, bool with_capacitances, Wire&& wire) {
  using namespace gastube;
  const auto tube = catalogue::build(tube_data(with_capacitances));
  return wire(
      DcSource<double>{line, ground, v.line}, Resistor<double>{line, lamp, v.series},
      named("signal lamp", FilamentLamp<double>{lamp,
                                                plate_a,
                                                {.voltage = v.lamp_voltage,
                                                 .current = v.lamp_current,
                                                 .time_constant = v.lamp_time,
                                                 .cold = v.lamp_cold,
                                                 .current_exponent = v.lamp_exponent}}),
      Resistor<double>{line, plate_b, v.reset_load}, Capacitor<double>{plate_a, plate_b, v.commutating},
      source(set_drive, v.set), source(reset_drive, v.reset), Resistor<double>{set_drive, grid_a, v.grid_lead},
      Resistor<double>{reset_drive, grid_b, v.grid_lead},
      named("set tube", wired(tube, {.plate = plate_a, .grid = grid_a, .cathode = ground, .heater = ground})),
      named("reset tube", wired(tube, {.plate = plate_b, .grid = grid_b, .cathode = ground, .heater = ground})));
}
}  // namespace detail

[[nodiscard]] inline auto circuit(const Values& v, bool with_capacitances) {
  return detail::build(v, with_capacitances, [](auto... parts) { return gastube::wire<node_count>(parts...); });
}
[[nodiscard]] inline auto dynamic_circuit(const Values& v, bool with_capacitances) {
  return detail::build(v, with_capacitances, [](auto... parts) { return gastube::wire_dynamic(node_count, parts...); });
}

template <class Run>
[[nodiscard]] Sample sample(const Run& run) {
  using gastube::voltage;
  const double temperature = gastube::own_unknown(run, run.system().find("signal lamp"));
  return {voltage(run, lamp),   voltage(run, plate_a), voltage(run, plate_b),
          voltage(run, grid_a), voltage(run, grid_b),  temperature};
}

/// Observer that writes down events as the reference does.
struct EventNotes {
  std::vector<Event> events;
  void change(double time, const gastube::Change& change) {
    events.push_back(
        {time, std::string_view(change.subject) == "reset tube" ? std::size_t(1) : std::size_t(0), change.to});
  }
};

/// A run of the circuit with samples at these rising times.
template <class Circuit>
[[nodiscard]] Outcome run(const Circuit& circuit, const gastube::Settings<double>& settings,
                          std::span<const double> times) {
  auto stepper = gastube::start(circuit, settings);
  EventNotes notes;
  Outcome outcome;
  for (const double time : times) {
    const gastube::Status status = stepper.run_until(time, notes);
    if (!succeeded(status)) throw std::runtime_error(name(status));
    outcome.samples.push_back(sample(stepper));
  }
  outcome.events = std::move(notes.events);
  outcome.steps = stepper.steps();
  return outcome;
}

}  // namespace latch
