// SPDX-License-Identifier: MIT
#pragma once
/// A run of a worked circuit by one scheme; see worked_circuit.hpp. Included once for each scheme.

#include <gastube/circuit/energy_balance.hpp>

#include "support_for_tests/worked_circuit.hpp"

namespace worked {

template <class Scheme>
class RunBy final : public Run {
 public:
  RunBy(const Circuit& c, const gastube::Settings<double>& settings, bool settled)
      : run_(gastube::start_unchecked<Scheme>(assembled(c), settings,
                                              settled ? gastube::Beginning::settled : gastube::Beginning::as_given))
      , observer_{*this, gastube::EnergyBalance(run_)} {
    REQUIRE(succeeded(run_.start_status()));
  }

  gastube::Status run_until(double time) override { return run_.run_until(time, observer_); }
  gastube::Status next_event(double limit) override { return run_.next_event(limit, observer_); }
  gastube::Status set_contact(std::size_t contact, bool closed) override {
    return run_.alter([&](auto&, auto& mode) { std::get<7>(mode)[contact].closed = closed; }, observer_);
  }
  gastube::Status set_source(std::size_t source, double volts) override {
    return run_.alter([&](auto& circuit, auto&) { circuit.template entry<0>()[source].voltage = volts; }, observer_);
  }
  [[nodiscard]] double time() const override { return run_.time(); }
  [[nodiscard]] double voltage(gastube::Node node) const override { return gastube::voltage(run_, node); }
  [[nodiscard]] double current(const char* label) const override { return gastube::current(run_, label); }
  [[nodiscard]] gastube::TubeState state(const char* label) const override { return gastube::tube_state(run_, label); }
  [[nodiscard]] double area(const char* meter) const override { return reading(meter, 0); }
  [[nodiscard]] double square(const char* meter) const override { return reading(meter, 1); }
  [[nodiscard]] long steps() const override { return run_.steps(); }
  [[nodiscard]] double energy_gap() const override { return observer_.balance.book(run_).share(); }
  [[nodiscard]] double charge_gap() const override { return observer_.balance.charge_error(); }

 private:
  [[nodiscard]] static auto assembled(const Circuit& c) {
    return gastube::audited(gastube::wire_dynamic(c.nodes, c.sources, c.pulses, c.sines, c.currents, c.resistors,
                                                  c.capacitors, c.inductors, c.contacts, c.buttons, c.tubes,
                                                  c.timed_tubes, c.meters, c.watches));
  }
  using Stepper = decltype(gastube::start_unchecked<Scheme>(assembled(std::declval<const Circuit&>())));
  struct Observer {
    RunBy& owner;
    gastube::EnergyBalance<std::decay_t<decltype(std::declval<Stepper&>().system())>> balance;

    void step(const Stepper& run) { balance.step(run); }
    void arrive(const Stepper& run) { balance.arrive(run); }
    void jump(const Stepper& run) { balance.jump(run); }
    void change(double time, const gastube::Change& what) { owner.log.change(time, what); }
  };
  [[nodiscard]] double reading(const char* meter, std::size_t k) const {
    return gastube::follower(run_, run_.system().find(meter), k);
  }

  Stepper run_;
  Observer observer_;
};

}  // namespace worked
