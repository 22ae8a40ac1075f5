// SPDX-License-Identifier: MIT
// The arc beyond the cathode's emission.
#include <gastube/adapt/dual.hpp>
#include <gastube/tube/arc/emission_limit.hpp>

#include "fidelity/arc_rows.hpp"
#include "fidelity/check_rows.hpp"
#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"
#include "support_for_tests/slopes.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>
#include <string>

using namespace gastube;
using closeness::relative_gap;

namespace {
template <class S>
using Law = EmissionLimitedDrop<LinearDrop<S>, S>;
template <class S>
constexpr Law<S> law{{S(8), S(2)}, S(1), S(20), S(22)};
}  // namespace

TEST_CASE("mercury tubes are destroyed by a drop above 22 V and not below") {
  check_rows(published::arcs::emission_limit);
}

TEST_CASE_TEMPLATE("up to the emission the inner law holds, beyond it the drop climbs", S, float, double, long double) {
  for (const S current : {S(-3), S(0), S(1e-8), S(0.5), S(1)}) {
    CHECK(law<S>.voltage(current) == law<S>.inner.voltage(current));
    CHECK(law<S>.slope(current) == S(2));
  }
  CHECK(relative_gap(law<S>.voltage(S(1.5)), 21.0L) < 4 * double(round_off<S>));  // by hand: 8 + 3 + 20 x 0.5
  CHECK(law<S>.slope(S(1.5)) == S(22));
}

TEST_CASE_TEMPLATE("the condition goes from normal through beyond emission to a cathode destroyed", S, float, double,
                   long double) {
  CHECK(law<S>.condition(S(0)) == ArcCondition::normal);
  CHECK(law<S>.condition(S(1)) == ArcCondition::normal);
  CHECK(law<S>.condition(S(1.001)) == ArcCondition::beyond_emission);
  // 22 V at 1 + 12/22 A, by hand
  CHECK(law<S>.condition(S(1.5454)) == ArcCondition::beyond_emission);
  CHECK(law<S>.condition(S(1.5455)) == ArcCondition::cathode_destroyed);
  // A drop too high hurts at any current.
  const EmissionLimitedDrop<ConstantDrop<S>, S> cold{{S(23)}, S(1), S(20), S(22)};
  CHECK(cold.condition(S(0.1)) == ArcCondition::cathode_destroyed);
}

TEST_CASE_TEMPLATE("a cold cathode emits nothing and is destroyed by what flows", S, float, double, long double) {
  const Law<S> cold{{S(8), S(2)}, S(0), S(100), S(22)};
  cold.check();
  CHECK(cold.condition(S(0.1)) == ArcCondition::beyond_emission);
  CHECK(cold.condition(S(0.2)) == ArcCondition::cathode_destroyed);
}

TEST_CASE("each condition has its own name and consequence") {
  const ArcCondition all[]{ArcCondition::normal, ArcCondition::beyond_emission, ArcCondition::cathode_destroyed};
  CHECK(std::string(name(all[0])) == "normal");
  CHECK(std::string(name(all[1])) == "beyond emission");
  CHECK(std::string(name(all[2])) == "cathode destroyed");
  CHECK(std::string(name(static_cast<ArcCondition>(9))) == "unknown");
  CHECK(std::string(consequence(all[0])) == "the cathode emits what the arc carries");
  CHECK(std::string(consequence(all[1])).find("more than the cathode emits") != std::string::npos);
  CHECK(std::string(consequence(all[2])).find("knock the coating off") != std::string::npos);
  CHECK(std::string(consequence(static_cast<ArcCondition>(9))) == "unknown");
}

TEST_CASE_TEMPLATE("the slope is the voltage's derivative", S, double, long double) {
  const EmissionLimitedDrop<FallingDrop<S>, S> falling{{S(8), S(0.02L), S(0.01L)}, S(1), S(20), S(22)};
  for (const S current : {S(-0.5), S(0.005L), S(0.5), S(1), S(1.7L), S(10)}) {
    CAPTURE(current);
    CHECK(slopes::agrees([&](S i) { return law<S>.voltage(i); }, current, law<S>.slope(current)));
    CHECK(slopes::agrees([&](S i) { return falling.voltage(i); }, current, falling.slope(current)));
  }
}

TEST_CASE("more current, more drop and never a milder condition; less emission, the same") {
  const unsigned seed = 859;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> share(0.0, 1.0);
  for (int k = 0; k < 2000; ++k) {
    Law<double> arc{{5 + 15 * share(random), 5 * share(random)}, 2 * share(random), 1 + 100 * share(random), 22};
    arc.check();
    const double current = 4 * share(random), more = current + share(random);
    CAPTURE(current);
    CAPTURE(more);
    CHECK(arc.voltage(more) >= arc.voltage(current));
    CHECK(arc.slope(more) >= arc.slope(current));
    CHECK(arc.condition(more) >= arc.condition(current));
    CHECK(arc.voltage(current) >= arc.inner.voltage(current));
    const auto condition = arc.condition(current);
    const double drop = arc.voltage(current);
    arc.emission *= share(random);
    CHECK(arc.voltage(current) >= drop);
    CHECK(arc.condition(current) >= condition);
  }
}

TEST_CASE("values and derivatives stay finite for wild input") {
  using D = Dual<double, 2>;
  const EmissionLimitedDrop<LinearDrop<D>, D> arc{{D(8), D(2)}, D::variable(1.0, 1), D(20), D(22)};
  for (const double current : {1e6, -1e6, 0.0, -0.0, 1e-300, 1.0, 1.5}) {
    CAPTURE(current);
    const D drop = arc.voltage(D::variable(current, 0));
    CHECK(std::isfinite(drop.value()));
    CHECK(drop.partial(0) == arc.slope(D(current)).value());
    CHECK(drop.partial(1) == (current > 1.0 ? -20.0 : 0.0));
  }
}

TEST_CASE_TEMPLATE("an emission-limited drop refuses fields out of range", S, float, double, long double) {
  refusal::check_field(law<S>, &Law<S>::emission, "emission-limited drop: emission", S(0), S(-1e-9));
  refusal::check_field(law<S>, &Law<S>::resistance, "emission-limited drop: resistance", S(1), S(0));
  refusal::check_field(law<S>, &Law<S>::disintegration, "emission-limited drop: disintegration", S(22), S(0));
  Law<S> bad = law<S>;
  bad.inner.drop = S(0);
  CHECK(refusal::of([&] { bad.check(); }) == "linear drop: drop");
}
