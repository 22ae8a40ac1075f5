// SPDX-License-Identifier: MIT
// The energy of a capacitor that is charged through a resistor, by every scalar. Closed form: dissipated are
// C E^2 / 2 (1 - exp(-2 t / RC)).
#include <gastube/adapt/dual.hpp>
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/energy_balance.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/sources.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/shared_run.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;
using closeness::relative_gap;

namespace {

template <class S>
[[nodiscard]] auto charging(const S& ohms) {
  return audited(wire<3>(DcSource<S>{1, 0, S(100)}, Resistor<S>{1, 2, ohms}, Capacitor<S>{2, 0, S(Plain<S>(1e-6L))}));
}

}  // namespace

TEST_CASE_TEMPLATE("books close to the rounding of their scalar", S, float, long double) {
  auto run = shared_start<Exact>(charging(S(1000)));
  EnergyBalance balance(run);
  REQUIRE(run.run_until(S(2e-3L), balance) == Status::done);
  CHECK(balance.book(run).moved() > S(0));
  CHECK(balance.book(run).share() < S(1e4) * round_off<S>);
}

TEST_CASE("what is dissipated has its derivative by the resistance") {
  using S = Dual<double, 1>;
  auto run = shared_start<Exact>(charging(S::variable(1e3, 0)));
  EnergyBalance balance(run);
  REQUIRE(run.run_until(S(1e-3), balance) == Status::done);
  CHECK(balance.book(run).share() < 1e-12);
  const S heat = run.system().dissipated_till(run.instant());
  CHECK(relative_gap(heat.value(), 5e-3 * (1 - std::exp(-2.0))) < 1e-12);
  CHECK(relative_gap(heat.partial(0), -5e-3 * 2 * std::exp(-2.0) / 1e3) < 1e-10);
}
