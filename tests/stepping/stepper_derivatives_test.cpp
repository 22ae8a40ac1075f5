// SPDX-License-Identifier: MIT
// Derivatives of event times, through events, with respect to component values.
#include <gastube/adapt/dual.hpp>
#include <gastube/stepping/stepper.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/quiet_system.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {

constexpr std::size_t parameters = 4;
using D = Dual<double, parameters>;

/// A capacitor charged through one resistor up to a level, then discharged through another down to a second level.
template <class S>
struct Sawtooth : QuietSystem<S, 1> {
  S resistance, capacitance, level, discharge;
  S supply = S(60), lower = S(10);

  explicit Sawtooth(const std::array<S, parameters>& p)
      : resistance(p[0]), capacitance(p[1]), level(p[2]), discharge(p[3]) {}
  void write(const Instant<S>& at, int falling, Equations<S>& eq) const {
    eq.store(0, 0, capacitance);
    eq.flow(0, falling != 0 ? S(at.x[0] / discharge) : S((at.x[0] - supply) / resistance));
    eq.flow_slope(0, 0, S(S(1) / (falling != 0 ? discharge : resistance)));
  }
  [[nodiscard]] std::size_t guards() const { return 1; }
  [[nodiscard]] S guard(std::size_t, const Instant<S>& at, int falling) const {
    return falling != 0 ? S(at.x[0] - lower) : S(level - at.x[0]);
  }
  Change fire(std::size_t, const Instant<S>&, int& falling, S*) const {
    falling = 1 - falling;
    return {};
  }
};

/// The same with a cubic leak, for which there is no closed form.
template <class S>
struct Leaky : Sawtooth<S> {
  using Sawtooth<S>::Sawtooth;
  void write(const Instant<S>& at, int falling, Equations<S>& eq) const {
    Sawtooth<S>::write(at, falling, eq);
    const S leak = S(2e-10), v = at.x[0];
    eq.flow(0, S(leak * v * v * v));
    eq.flow_slope(0, 0, S(S(3) * leak * v * v));
  }
};

constexpr std::array<double, parameters> values{1e5, 1e-6, 48.0, 2.2e4};

/// The first three event times: up, down, up again.
template <class System>
std::array<typename System::Scalar, 3> event_times(const std::array<typename System::Scalar, parameters>& p,
                                                   double tolerance, double fixed_step = 0) {
  using S = typename System::Scalar;
  const System system(p);
  Settings<S> settings{.relative = tolerance, .absolute = tolerance, .fixed_step = fixed_step};
  Stepper<System> stepper(system, start_at(system, 0.0), 0, settings);
  std::array<S, 3> times;
  for (S& time : times) {
    REQUIRE(stepper.next_event(S(10)) == Status::event);
    time = stepper.time();
  }
  return times;
}
template <template <class> class System>
std::array<D, 3> differentiated(double tolerance, double fixed_step = 0) {
  std::array<D, parameters> p;
  for (std::size_t k = 0; k < parameters; ++k) p[k] = D::variable(values[k], k);
  return event_times<System<D>>(p, tolerance, fixed_step);
}

/// Closed forms, worked here: R C ln(E / (E - u)), then Q C ln(u / 10), then R C ln((E - 10) / (E - u)).
std::array<D, 3> closed_form() {
  std::array<D, parameters> p;
  for (std::size_t k = 0; k < parameters; ++k) p[k] = D::variable(values[k], k);
  const D first = p[0] * p[1] * log(60.0 / (60.0 - p[2]));
  const D second = first + p[3] * p[1] * log(p[2] / 10.0);
  return {first, second, second + p[0] * p[1] * log(50.0 / (60.0 - p[2]))};
}

}  // namespace

TEST_CASE("an event's time has the derivatives of its closed form, through earlier events too") {
  const auto got = differentiated<Sawtooth>(1e-13), wanted = closed_form();
  for (std::size_t event = 0; event < 3; ++event) {
    CAPTURE(event);
    CHECK(relative_gap(got[event].value(), wanted[event].value()) < 1e-9);
    for (std::size_t k = 0; k < parameters; ++k) {
      CAPTURE(k);
      if (wanted[event].partial(k) == 0.0)
        CHECK(got[event].partial(k) == 0.0);
      else
        CHECK(relative_gap(got[event].partial(k), wanted[event].partial(k)) < 1e-8);
    }
  }
}

TEST_CASE("derivatives do not depend on how exactly the run is stepped, but for the scheme's own error") {
  const auto wanted = closed_form();
  for (const double tolerance : {1e-4, 1e-6, 1e-8}) {
    CAPTURE(tolerance);
    const auto got = differentiated<Sawtooth>(tolerance);
    for (std::size_t event = 0; event < 3; ++event)
      for (std::size_t k = 0; k < parameters; ++k)
        if (wanted[event].partial(k) != 0.0)
          CHECK(relative_gap(got[event].partial(k), wanted[event].partial(k)) < 30 * std::pow(tolerance, 2.0 / 3));
  }
}

TEST_CASE("derivatives of a nonlinear circuit's events agree with finite differences") {
  // with steps of a fixed length the computed times are smooth in the values, so that differences may be taken
  const auto got = differentiated<Leaky>(1e-13, 5e-5);
  const auto times = [](std::size_t k, double change) {
    auto changed = values;
    changed[k] *= 1 + change;
    return event_times<Leaky<double>>(changed, 1e-13, 5e-5);
  };
  for (std::size_t k = 0; k < parameters; ++k) {
    CAPTURE(k);
    const double part = 1e-3;
    const auto far_up = times(k, 2 * part), up = times(k, part), down = times(k, -part), far_down = times(k, -2 * part);
    for (std::size_t event = 0; event < 3; ++event) {
      CAPTURE(event);
      const double outer = (far_up[event] - far_down[event]) / 4, inner = (up[event] - down[event]) / 2;
      const double slope = (4 * inner - outer) / (3 * part * values[k]);  // fourth order
      if (slope == 0.0)
        CHECK(got[event].partial(k) == 0.0);
      else
        CHECK(relative_gap(got[event].partial(k), slope) < 1e-6);
    }
  }
}

TEST_CASE("derivatives leave the values alone") {
  const auto with = differentiated<Leaky>(1e-8);
  const auto without = event_times<Leaky<double>>(values, 1e-8);
  for (std::size_t event = 0; event < 3; ++event)
    CHECK(relative_gap(with[event].value(), without[event]) < 1e-10);  // one Newton iteration more
}
