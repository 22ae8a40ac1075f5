// SPDX-License-Identifier: MIT
/// Ten million events of a relaxation oscillator with the exact scheme: how far the clock has drifted from the closed
/// form of its period, worked out in long double. Exit code 1 if that is beyond a billionth.
///   soak [events]

#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/circuit/wired_tube.hpp>
#include <gastube/tube/family/ideal.hpp>

#include <cmath>
#include <cstdio>
#include <cstdlib>

namespace {

using namespace gastube;

constexpr long double supply = 250, series = 100e3L, farads = 10e-9L, drop = 16, ohms = 50, least = 5e-3L, ratio = 20,
                      bias = -5;

/// The oscillator's period: it charges from where the tube goes out to where it strikes, and discharges through the
/// tube while the supply goes on feeding it.
[[nodiscard]] long double period() {
  const long double strike = -ratio * bias, out = drop + least * ohms;
  const long double charging = series * farads * std::log((supply - out) / (supply - strike));
  const long double share = ohms / (series + ohms);
  const long double goal = supply * share + drop * (1 - share);
  const long double discharging = series * share * farads * std::log((strike - goal) / (out - goal));
  return charging + discharging;
}

struct Strikes {
  long count = 0;
  double first = 0, last = 0;
  void change(double time, const Change& change) {
    if (change.to != name(TubeState::conducting)) return;
    if (count++ == 0) first = time;
    last = time;
  }
};

}  // namespace

int main(int argc, char** argv) {
  const long cycles = (argc > 1 ? std::atol(argv[1]) : 10'000'000) / 2;
  enum Nodes : Node { ground, line, plate, grid, nodes };
  const IdealTube<double> ideal{.control_ratio = double(ratio),
                                .arc_drop = double(drop),
                                .sustaining_current = double(least),
                                .arc_resistance = double(ohms)};
  const auto circuit = wire<nodes>(DcSource{line, ground, double(supply)}, DcSource{grid, ground, double(bias)},
                                   Resistor{line, plate, double(series)}, Capacitor{plate, ground, double(farads)},
                                   wired(ideal.build(), {.plate = plate, .grid = grid, .cathode = ground}));
  auto run = start<Exact>(circuit);
  Strikes strikes;
  const Status status = run.run_until((double(cycles) + 0.5) * double(period()), strikes);
  const long double expected = static_cast<long double>(strikes.count - 1) * period();
  const long double drift =
      std::fabs((static_cast<long double>(strikes.last) - static_cast<long double>(strikes.first)) / expected - 1);
  std::printf("%s: %ld strikes and extinctions in %.0f s, %ld steps; period %.15Lg s; drift %.2Lg of the time passed\n",
              name(status), 2 * strikes.count, run.time(), run.steps(), period(), drift);
  return succeeded(status) && strikes.count >= cycles && drift < 1e-9L ? 0 : 1;
}
