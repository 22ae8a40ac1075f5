// SPDX-License-Identifier: MIT
// A resistor is shorted while a coil and a capacitor settle: real modes before, a pair that turns after, and the same
// again the other way round. Held against a stiff scheme at a tight tolerance.
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/contact.hpp>
#include <gastube/circuit/inductor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>

#include <doctest/doctest.h>

#include <cmath>
#include <tuple>

using namespace gastube;

namespace {

enum { ground, line, tap, coil, top, count };

auto circuit() {
  return wire<count>(DcSource{line, ground, 100.0}, Resistor{line, tap, 70.0}, Contact<double>{line, tap, false, 1.0},
                     Resistor{tap, coil, 10.0}, Inductor{coil, top, 1e-3}, Capacitor{top, ground, 1e-6});
}

}  // namespace

TEST_CASE("modes that turn after modes that do not") {
  auto exact = start<Exact>(circuit());
  auto stiff = start<Esdirk4>(circuit(), Settings<double>{.relative = 1e-10, .absolute = 1e-10});
  const auto set = [](auto& run, bool closed) {
    return run.alter([&](auto&, auto& mode) { std::get<2>(mode)[0].closed = closed; });
  };
  bool closed = false;
  for (int stretch = 1; stretch <= 6; ++stretch) {
    const double until = 20e-6 * stretch;
    for (const double t : {until - 15e-6, until}) {
      REQUIRE(exact.run_until(t) == Status::done);
      REQUIRE(stiff.run_until(t) == Status::done);
      CHECK(std::fabs(voltage(exact, top) - voltage(stiff, top)) < 1e-6);
    }
    closed = !closed;
    REQUIRE(succeeded(set(exact, closed)));
    REQUIRE(succeeded(set(stiff, closed)));
  }
}
