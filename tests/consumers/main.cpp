// SPDX-License-Identifier: MIT
// The program of the README, as a user of the installed library would build it.
#include <gastube/gastube.hpp>

#include <cstdio>

using namespace gastube;
enum Nodes : Node { ground, supply, plate, bias, grid, node_count };

struct Log {
  void change(double time, const Change& c) {
    std::printf("%.6f s  %s: %s -> %s (%s)\n", time, c.subject, c.from, c.to, c.why);
  }
};

int main() {
  const auto circuit =
      wire<node_count>(DcSource{supply, ground, 48.0}, Resistor{supply, plate, 1e3},
                       PulseSource<double>{bias, ground, {.low = -6, .high = 3, .delay = 1e-3, .width = 1e-4}},
                       Resistor{bias, grid, 47e3},
                       named("tube", wired(catalogue::type_5727(),
                                           {.plate = plate, .grid = grid, .cathode = ground, .heater = ground})));
  auto run = start(circuit, Beginning::settled);
  const Status status = run.run_until(5e-3, Log{});
  std::printf("%s: plate at %.2f V, %.1f mA\n", name(status), voltage(run, plate), 1e3 * current(run, "tube"));
  return succeeded(status) && tube_state(run, "tube") == TubeState::conducting ? 0 : 1;
}
