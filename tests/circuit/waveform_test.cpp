// SPDX-License-Identifier: MIT
// A waveform of one's own drives voltage and current sources alike.
#include <gastube/circuit/current_source.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/circuit/waveform.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/shared_run.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;
using closeness::relative_gap;

namespace {
enum { ground, out, node_count };

/// A capacitor that was charged elsewhere, let loose at `begin`: level exp(-(t - begin) / constant), before that 0.
struct Surge {
  using Scalar = double;
  double level, begin, constant;
  struct Memory {
    bool begun = false;
  };
  void check(const Check& check) const { check.above("constant", constant, 0.0, "s"); }
  [[nodiscard]] double next_breakpoint(double, const Memory& m) const { return m.begun ? unlimited<double>() : begin; }
  void pass_breakpoint(double time, Memory& m) const { m.begun = time >= begin; }
  [[nodiscard]] double value(double time, const Memory& m) const {
    return m.begun ? level * std::exp(-(time - begin) / constant) : 0;
  }
};
static_assert(Waveform<Surge> && !Waveform<double>);
}  // namespace

TEST_CASE("a waveform of one's own is followed by a voltage source, its jump an event of the run") {
  auto run =
      shared_start(wire<node_count>(VoltageSource{out, ground, Surge{400, 1e-3, 1e-4}}, Resistor{out, ground, 1e3}));
  CHECK(voltage(run, out) == 0.0);
  REQUIRE(run.next_event(1.0) == Status::event);
  CHECK(run.time() == 1e-3);
  CHECK(relative_gap(voltage(run, out), 400.0) < 1e-14);
  REQUIRE(run.run_until(1.2e-3) == Status::done);
  CHECK(relative_gap(voltage(run, out), 400 * std::exp(-2.0)) < 1e-12);
}

TEST_CASE("and by a current source") {
  auto run =
      shared_start(wire<node_count>(CurrentSource{ground, out, Surge{0.4, 1e-3, 1e-4}}, Resistor{out, ground, 1e3}));
  REQUIRE(run.run_until(1.2e-3) == Status::done);
  CHECK(relative_gap(voltage(run, out), 400 * std::exp(-2.0)) < 1e-12);
}

TEST_CASE("its own check speaks when it is wired, under the name of the source") {
  CHECK_THROWS_WITH_AS((VoltageSource{out, ground, Surge{400, 0, 0}}),
                       "voltage source: constant = 0 s, allowed: above 0 s", InvalidParameter);
}

TEST_CASE("a steady waveform is the same at all times") {
  const SteadyWave<double> wave{-3.5};
  CHECK(wave.value(0.0, {}) == -3.5);
  CHECK(wave.value(1e6, {}) == -3.5);
}
