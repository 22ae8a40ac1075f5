// SPDX-License-Identifier: MIT
// A part from outside, in its own file, serves in a circuit as the library's do: event, meter, log, derivatives,
// checks.
#include <gastube/adapt/dual.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/circuit/wiring_check.hpp>

#include "circuit/own_fuse.hpp"
#include "laws/part_laws.hpp"
#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/shared_run.hpp"

#include <doctest/doctest.h>

using namespace gastube;
using closeness::relative_gap;
using workshop::Fuse;

namespace {
enum { ground, supply, load, node_count };

/// 10 A through a fuse of 0.5 A^2 s: blows after 5 ms.
template <class S>
[[nodiscard]] auto overloaded(S volts) {
  return wire<node_count>(DcSource{supply, ground, volts}, Fuse<S>{supply, load, S(0.1L), S(0.5), S(1e6)},
                          Resistor{load, ground, S(9.9L)});
}
}  // namespace

TEST_CASE_TEMPLATE("it blows when the square of its current has added up", S, float, double, long double) {
  auto run = shared_start(overloaded(S(100)));
  EventLog<S> log;
  REQUIRE(run.run_until(S(0.02L), log) == Status::done);
  REQUIRE(log.count("fuse", "blown") == 1);
  CHECK(relative_gap(log.times("fuse", "blown")[0], 5e-3) < 1e-5);
  CHECK(double(current(run, "fuse")) < 1.1e-4);
}

TEST_CASE("its time carries derivatives: twice as much relative change as the voltage has, the other way") {
  using D = Dual<double, 1>;
  auto run = shared_start(overloaded(D::variable(100.0, 0)));
  EventLog<D> log;
  REQUIRE(run.run_until(D(0.02), log) == Status::done);
  const D time = log.times("fuse", "blown").at(0);
  CHECK(relative_gap(time.partial(0), -2 * 5e-3 / 100) < 1e-6);
}

TEST_CASE("its slopes are held to its currents, its wiring and parameters are checked") {
  laws::check_equations(Fuse<double>{1, 2, 0.1, 0.5, 1e6});
  CHECK(wiring_faults(overloaded(100.0)).empty());
  CHECK_THROWS_WITH_AS((Fuse<double>{supply, load, 0.0, 0.5, 1e6}), "fuse: resistance = 0 ohm, allowed: above 0 ohm",
                       InvalidParameter);
}
