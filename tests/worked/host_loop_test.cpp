// SPDX-License-Identifier: MIT
// A tube of every family in a host's own loop: no circuit, no stepper, no Eigen, and in float as on a small machine.
#include <gastube/catalogue/catalogue.hpp>
#include <gastube/tube/hosted_tube.hpp>

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <string>
#include <vector>

using namespace gastube;
using closeness::relative_gap;

namespace {

/// A supply charges a capacitor through a resistor; the tube hangs across it. All of the host is in run().
template <class Tube>
struct Host {
  using S = typename Tube::Scalar;
  S supply, resistance, capacitance, grid;
  HostedTube<Tube> tube;
  S volts = S(0);
  std::vector<double> struck = {};  // s, when the tube was found burning anew

  Host(const Tube& type, S e, S r, S c, S g) : supply(e), resistance(r), capacitance(c), grid(g), tube(type) {
    tube.offer({S(0), e, r});  // at once from the capacitor, steadily through the resistor
  }

  void run(S end, S step) {
    for (S t(0); t < end; t += step) {
      // Backward Euler for d(volts)/dt C = (E - volts)/R - I(volts), by Newton's method.
      const S weight = step / capacitance, before = volts;
      for (int round = 0; round < 4; ++round) {
        const TubeResponse<S> seen = tube.respond({volts, grid});
        const S push = supply / resistance - seen.plate_current + seen.plate_by_plate * volts;
        volts = (before + weight * push) / (S(1) + weight * (S(1) / resistance + seen.plate_by_plate));
      }
      const bool was_lit = is_lit(tube.state());
      tube.advance({volts, grid}, step);
      if (!was_lit && is_lit(tube.state())) struck.push_back(double(t));
    }
  }
  [[nodiscard]] double period() const { return (struck.back() - struck.front()) / (double(struck.size()) - 1); }
};
template <class Tube>
using S = typename Tube::Scalar;
template <class Tube>
Host(const Tube&, S<Tube>, S<Tube>, S<Tube>, S<Tube>) -> Host<Tube>;

}  // namespace

TEST_CASE("a glow lamp flashes in a host's loop, in float, with the period of the closed form") {
  const auto lamp = catalogue::type_ne2<float>();
  Host host(lamp, 120.0f, 2.2e6f, 4.7e-8f, 0.0f);
  host.run(1.0f, 20e-6f);
  REQUIRE(host.struck.size() > 5);
  // Closed forms, worked here: RC charges from extinction to strike; on goes the ramp while the glow forms, at the rate
  // over / (lag Vs) with over = ramp t, hence sqrt(2 lag Vs / ramp); then the lamp empties the capacitor along its
  // line.
  const double rc = 2.2e6 * 4.7e-8, strike = double(lamp.strike_voltage(0.0f)), out = double(lamp.extinction_voltage());
  const double charging = rc * std::log((120.0 - out) / (120.0 - strike)), ramp = (120.0 - strike) / rc;
  const double forming = std::sqrt(2 * double(lamp.laws().delay.scale) * strike / ramp);
  const LinearDrop<float> line = lamp.laws().arc.normal;
  const double emptying =
      double(line.resistance) * 4.7e-8 * std::log((strike - double(line.drop)) / (out - double(line.drop)));
  CHECK(relative_gap(host.period(), charging + forming + emptying) < 0.02);
}

TEST_CASE("a xenon tetrode relaxes in a host's loop, in float, held off to its critical plate voltage") {
  const auto tetrode = catalogue::type_5727<float>();
  Host host(tetrode, 400.0f, 1e6f, 2e-8f, -2.0f);
  host.run(0.2f, 1e-6f);
  REQUIRE(host.struck.size() > 5);
  const double strike = double(critical_plate(tetrode.laws().ignition, -2.0f)), out = double(tetrode.floor()) - 1;
  // Closed forms, worked here: charging to the critical plate voltage; then the ramp drives the grid over by ramp / 250
  // each second while the discharge forms: sqrt(2 product / that).
  const double charging = 0.02 * std::log((400.0 - out) / (400.0 - strike)), ramp = (400.0 - strike) / 0.02 / 250;
  const double forming = std::sqrt(2 * double(tetrode.laws().delay.product) / ramp);
  CHECK(relative_gap(host.period(), charging + forming) < 0.01);
}

TEST_CASE("a mercury tube, an argon triode and a hydrogen tube strike in a host's loop and burn at their drop") {
  const auto burns = [](const auto& tube, float supply, float ohms, float grid) {
    CAPTURE(std::string(tube.type()));
    Host host(tube, supply, ohms, 1e-9f, grid);
    host.run(2e-3f, 0.5e-6f);
    CHECK(host.tube.state() == TubeState::conducting);
    CHECK(relative_gap(host.volts, tube.laws().arc.voltage((supply - host.volts) / ohms)) < 0.02);
  };
  burns(catalogue::type_5557<float>(40.0f), 300.0f, 500.0f, 10.0f);
  burns(catalogue::type_884<float>(), 200.0f, 2e3f, 0.0f);
  burns(catalogue::type_4c35<float>(), 1000.0f, 500.0f, 150.0f);
}

TEST_CASE("a stabiliser takes up what the load leaves, in a host's loop") {
  Host host(catalogue::type_0a2<float>(), 250.0f, 5e3f, 1e-8f, 0.0f);
  host.run(20e-3f, 2e-6f);
  CHECK(host.tube.state() == TubeState::glow);
  CHECK(relative_gap(host.volts, 150.0) < 0.02);  // 0A2: 150 V, tube handbooks, from memory
}

TEST_CASE("a trigger tube waits for its trigger in a host's loop, and then does not heed it") {
  const auto tube = catalogue::type_5823<float>();
  Host waits(tube, 150.0f, 10e3f, 1e-9f, 60.0f);
  waits.run(5e-3f, 1e-6f);
  CHECK(waits.tube.state() == TubeState::dark);
  Host fires(tube, 150.0f, 10e3f, 1e-9f, 110.0f);
  fires.run(5e-3f, 1e-6f);
  CHECK(fires.tube.state() == TubeState::conducting);
  fires.grid = 0.0f;
  fires.run(5e-3f, 1e-6f);
  CHECK(fires.tube.state() == TubeState::conducting);
}
