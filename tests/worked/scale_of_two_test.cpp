// SPDX-License-Identifier: MIT
// Scale-of-two counter of gas tubes: 10 kohm at each plate, 0.02 uF between them. Those values and a reliable
// separation of 0.15 ms are printed in an abstract, "Improvements to the scale of two thyratron counter", Math. Proc.
// Cambridge Phil. Soc.; a chain of n stages divides by 2^n: common practice, no source. Supply, drop and trigger are
// ours.
#include "support_for_tests/worked_circuit.hpp"

#include <cmath>
#include <string>
#include <vector>

using namespace gastube;
using closeness::relative_gap;

namespace {

enum { ground, supply, bias, reset, input, first_free };
const double first_pulse = 6e-3, interval = 1.5e-3;

/// Tubes A and B of each stage; both grids get the pulse, and the cathode of A makes that of the next stage. At 1 ms
/// all tubes B are lit.
struct Chain {
  std::vector<std::string> names = {};

  [[nodiscard]] worked::Circuit circuit(int stages, double cathode_ohms) {
    const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = 15, .sustaining_current = 1e-3}.build();
    for (int k = 0; k < stages; ++k)
      for (const char* which : {"A", "B"}) names.push_back(which + std::to_string(k + 1));
    worked::Circuit all{
        .nodes = std::size_t(first_free + 5 * stages),
        .sources = {{supply, ground, 150.0}, {bias, ground, -9.0}},
        .pulses = {{reset, ground, {.low = -9, .high = 5, .delay = 1e-3, .width = 1e-4}},
                   {input, ground, {.low = 0, .high = 14, .delay = first_pulse, .width = 5e-6, .period = interval}}},
        .watches = {{first_free + 1, ground, 15, "plate of B1"}}};
    for (int k = 0; k < stages; ++k) {
      const Node a = first_free + 5 * k, b = a + 1, cathode = a + 2, grid_a = a + 3, grid_b = a + 4,
                 pulse = k == 0 ? Node(input) : a - 3;
      all.tubes.push_back(named(names[std::size_t(2 * k)].c_str(), wired(tube, {a, grid_a, cathode, cathode})));
      all.tubes.push_back(named(names[std::size_t(2 * k + 1)].c_str(), wired(tube, {b, grid_b, ground, ground})));
      for (const Resistor<double>& one :
           {Resistor{supply, a, 10e3}, Resistor{supply, b, 10e3}, Resistor{cathode, ground, cathode_ohms},
            Resistor{bias, grid_a, 100e3}, Resistor{reset, grid_b, 100e3}})
        all.resistors.push_back(one);
      all.capacitors.push_back({a, b, 0.02e-6});
      all.capacitors.push_back({pulse, grid_a, 100e-12});
      all.capacitors.push_back({pulse, grid_b, 100e-12});
    }
    return all;
  }
};

}  // namespace

TEST_CASE("a stage holds its tubes off for RC ln 2, 0.139 ms, and 0.15 ms is what its makers found to be reliable") {
  for (const worked::Way& way : worked::ways) {
    CAPTURE(way);
    Chain chain;
    const auto run = worked::start(chain.circuit(1, 1e-3), way, 1e30, true);
    REQUIRE(run->run_until(first_pulse + 0.9 * interval) == Status::done);
    REQUIRE(run->count("A1", "conducting") == 1);
    REQUIRE(run->count("plate of B1", "above") >= 1);
    const double held = run->times("plate of B1", "above").back() - run->times("A1", "conducting")[0];
    CHECK(relative_gap(held, 0.000138629436) < way.six);
    CHECK(relative_gap(held, 0.00015) < 0.1);
    worked::check_books(*run, way);
  }
}

TEST_CASE("four stages hand on one pulse in sixteen, and each stage one in two") {
  for (const worked::Way& way : worked::ways) {
    CAPTURE(way);
    Chain chain;
    const auto run = worked::start(chain.circuit(4, 2e3), way, 1e30, true);
    REQUIRE(run->run_until(first_pulse + 16.5 * interval) == Status::done);  // seventeen pulses
    const std::size_t expected[] = {9, 5, 3, 2};
    for (std::size_t k = 0; k < 4; ++k) {
      CAPTURE(k);
      const auto lit = run->times(chain.names[2 * k].c_str(), "conducting");
      REQUIRE(lit.size() == expected[k]);
      CHECK(relative_gap(lit[1] - lit[0], double(2 << k) * interval) < 1e-3);
      CHECK(run->count(chain.names[2 * k + 1].c_str(), "conducting") == expected[k]);  // with the reset, less the last
    }
    worked::check_books(*run, way);
  }
}
