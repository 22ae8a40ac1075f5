// SPDX-License-Identifier: MIT
#include <gastube/catalogue/xenon.hpp>
#include <gastube/circuit/recorder.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/sources.hpp>

#include "support_for_tests/shared_run.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>

using namespace gastube;

TEST_CASE("the plate falls exponentially to the arc drop, and the strays give no more than their charging current") {
  enum Nodes : Node { ground, supply, plate, grid, node_count };
  auto data = catalogue::data_5727;
  data.plate_fall.value = 50e-9;
  const auto circuit =
      wire<node_count>(DcSource{supply, ground, 48.0}, Resistor{supply, plate, 1e3},
                       PulseSource<double>{grid, ground, {.low = -6, .high = 3, .delay = 1e-5, .width = 1e-4}},
                       named("tube", wired(catalogue::build(data),
                                           {.plate = plate, .grid = grid, .cathode = ground, .heater = ground})));
  Recorder recorder{VoltageProbe{plate}, CurrentProbe{circuit.find("tube")}};
  Settings<double> fine;
  fine.relative = 1e-8;
  fine.absolute = 1e-8;
  auto run = shared_start(circuit, fine, Beginning::settled);
  REQUIRE(run.run_until(2e-5, recorder) == Status::done);
  const auto lit = std::find_if(recorder.changes().begin(), recorder.changes().end(), [](const LoggedChange& logged) {
    return std::string(logged.change.to) == "conducting";
  });
  REQUIRE(lit != recorder.changes().end());
  double greatest = 0, worst = 0;
  for (std::size_t k = 0; k < recorder.times().size(); ++k) {
    greatest = std::max(greatest, recorder.rows()[k][1]);
    const double since = recorder.times()[k] - lit->time;
    if (since <= 0 || since > 3e-7) continue;
    // Closed form: the excess of 48 V - dark drop over the arc drop dies away with 50 ns; the arc drop is 8 V + 2 ohm
    // i.
    const double expected = 8 + 2 * recorder.rows()[k][1] + (47.98 - 8) * std::exp(-since / 50e-9);
    worst = std::max(worst, std::abs(recorder.rows()[k][0] - expected));
  }
  CHECK(worst < 0.05);
  CHECK(worst > 0);
  CHECK(greatest < 0.045);  // 40 mA of load and the 1.6 pF of the plate at 0.8 V/ns: 1.3 mA
  CHECK(greatest > 0.039);
}
