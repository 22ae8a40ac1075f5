// SPDX-License-Identifier: MIT
// One circuit of many parts, each changed a little by one number p: derivatives by p that the run carries along are
// those by differences of two runs.
#include <gastube/adapt/dual.hpp>
#include <gastube/circuit/battery.hpp>
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/current_source.hpp>
#include <gastube/circuit/diode.hpp>
#include <gastube/circuit/exponential_diode.hpp>
#include <gastube/circuit/meter.hpp>
#include <gastube/circuit/point_wave.hpp>
#include <gastube/circuit/potentiometer.hpp>
#include <gastube/circuit/relay.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/circuit/transformer.hpp>
#include <gastube/circuit/vacuum_pentode.hpp>
#include <gastube/circuit/vacuum_triode.hpp>

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;

namespace {
enum {
  ground,
  mains,
  winding,
  rectified,
  supply,
  junction,
  wiper,
  high,
  grid,
  plate,
  screen,
  pentode_plate,
  cell,
  contact,
  timed,
  ramped,
  crest,
  node_count
};

/// All voltages at the end, and the reading of the meter.
template <class S>
[[nodiscard]] std::array<S, node_count> measure(const S& p) {
  const auto times = [&](double base) { return S(S(base) * p); };
  auto circuit = wire<node_count>(
      SineSource<S>{mains, ground, {.amplitude = S(100), .frequency = S(50)}},
      transformer(mains, ground, Secondary<S>{winding, ground, times(0.2)},
                  TransformerData<S>{.magnetising_inductance = times(1),
                                     .leakage_inductance = S(1e-3),
                                     .secondary_resistance = times(2)}),
      Diode<S>{winding, rectified, {.drop = times(0.7), .slope = S(1)}}, Capacitor<S>{rectified, ground, S(100e-6)},
      std::array{Resistor<S>{rectified, ground, S(500)}, Resistor<S>{supply, junction, S(1e3)},
                 Resistor<S>{high, plate, S(1e5)}, Resistor<S>{high, pentode_plate, S(5e4)},
                 Resistor<S>{supply, cell, S(10)}, Resistor<S>{contact, timed, S(1e3)},
                 Resistor<S>{ramped, ground, S(1e4)}, Resistor<S>{crest, ground, S(1e3)}},
      std::array{DcSource<S>{supply, ground, S(10)}, DcSource<S>{high, ground, S(250)}, DcSource<S>{ground, grid, S(1)},
                 DcSource<S>{screen, ground, S(100)}},
      ExponentialDiode<S>{junction, ground, {.saturation_current = times(1e-9), .series_resistance = times(2)}},
      Potentiometer<S>{ground, wiper, supply, S(1e4), times(0.3)},
      MovingCoilMeter<S>{wiper, ground, S(1e5), times(0.01)},
      VacuumTriode<S>{plate, grid, ground, {.perveance = S(1e-3), .mu = times(80), .contact = S(0.6)}},
      VacuumPentode<S>{
          pentode_plate, grid, screen, ground, {.perveance = times(1e-3), .screen_mu = S(40), .knee = times(15)}},
      ChargingBattery<S>{cell, ground, S(6), S(1), times(50)},
      Relay<S>{supply,
               ground,
               {{{.common = supply, .work = contact}}},
               {.resistance = S(100),
                .inductance_open = times(0.5),
                .inductance_closed = S(1),
                .pull_in = S(0.06),
                .drop_out = S(0.02)},
               {.pull_in = times(2e-3)}},
      Capacitor<S>{timed, ground, S(10e-6)}, CurrentSource{ground, ramped, ramp(S(0), times(1e-3), S(0), times(8e-3))},
      VoltageSource{crest, ground, RectifiedSine<S>{.amplitude = times(10), .frequency = times(60)}});
  auto run = start(circuit, Settings<S>{.fixed_step = 2e-4});
  REQUIRE(run.run_until(S(0.013)) == Status::done);
  std::array<S, node_count> seen{reading(run, "moving-coil meter")};
  for (Node node = 1; node < node_count; ++node) seen[std::size_t(node)] = voltage(run, node);
  return seen;
}
}  // namespace

TEST_CASE("derivatives run along through every part") {
  using D = Dual<double, 1>;
  const auto carried = measure(D::variable(1.0, 0));
  const double step = 1e-4;
  const auto right = measure(1.0 + step), left = measure(1.0 - step), middle = measure(1.0);
  int moved = 0;
  for (std::size_t k = 0; k < node_count; ++k) {
    CAPTURE(k);
    const double difference = (right[k] - left[k]) / (2 * step);
    CHECK(std::fabs(carried[k].value() - middle[k]) < 1e-9 * (1 + std::fabs(middle[k])));
    CHECK(std::fabs(carried[k].partial(0) - difference) < 1e-5 * std::fabs(difference) + 1e-7);
    moved += std::fabs(difference) > 1e-3 ? 1 : 0;
  }
  CHECK(moved == 11);  // all but ground, steady sources, and the steady grid and screen
}
