// SPDX-License-Identifier: MIT
#include <gastube/adapt/dual.hpp>
#include <gastube/tube/ignition/transfer.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"
#include "support_for_tests/slopes.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

using namespace gastube;
using closeness::relative_gap;

namespace {

/// 0A4G, from handbooks, from memory: 225 V alone, 100 uA at 140 V, maintaining 70 V.
template <class S>
[[nodiscard]] TransferCurve<S> curve() {
  return transfer_through(S(225), S(70), S(100e-6L), S(140));
}
template <class S>
constexpr TriggerGap<S> gap{S(80), S(60), S(5e3), S(2e-6L), S(1e-9L), S(1e-3L)};

}  // namespace

TEST_CASE_TEMPLATE("transfer goes through its published point and down from the gap's own breakdown", S, float, double,
                   long double) {
  const double close = 32 * double(round_off<S>);
  CHECK(relative_gap(curve<S>().breakdown(S(100e-6L)), 140.0L) < close);
  CHECK(relative_gap(curve<S>().breakdown(S(200e-6L)), 70 + 155.0L * (70.0L / 155) * (70.0L / 155))
        < close);  // by hand
  CHECK(curve<S>().breakdown(S(0)) == S(225));
  CHECK(curve<S>().breakdown(S(-1)) == S(225));
  CHECK(curve<S>().breakdown(S(1)) == S(70));
  CHECK(curve<S>().breakdown(S(1e6)) == S(70));
}

TEST_CASE_TEMPLATE("the trigger current needed is the inverse", S, float, double, long double) {
  for (const S anode : {S(75), S(100), S(140), S(200), S(224)})
    CHECK(relative_gap(curve<S>().breakdown(curve<S>().current_needed(anode)), anode) < 64 * double(round_off<S>));
  CHECK(curve<S>().current_needed(S(225)) == S(0));
  CHECK(curve<S>().current_needed(S(300)) == S(0));
  CHECK_FALSE(is_limited(curve<S>().current_needed(S(70))));
  CHECK_FALSE(is_limited(curve<S>().current_needed(S(-10))));
}

TEST_CASE("more trigger current never raises the breakdown, more anode voltage never the current needed") {
  const unsigned seed = 87;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> amperes(0, 1e-3), more(0, 1e-4), volts(60, 240), up(0, 20);
  for (int k = 0; k < 2000; ++k) {
    const double i = amperes(random), v = volts(random);
    CHECK(curve<double>().breakdown(i + more(random)) <= curve<double>().breakdown(i));
    CHECK(curve<double>().current_needed(v + up(random)) <= curve<double>().current_needed(v));
  }
}

TEST_CASE("transfer has finite derivatives at any current") {
  using D = Dual<double, 1>;
  for (const double current : {0.0, -0.0, 1e-300, 1e-4, 1.0, 1e6, -1e6}) {
    const D volts = curve<D>().breakdown(D::variable(current, 0));
    CHECK(std::isfinite(volts.value()));
    CHECK(std::isfinite(volts.partial(0)));
    CHECK(volts.partial(0) <= 0);
  }
  CHECK(slopes::agrees([](double i) { return curve<double>().breakdown(i * 1e-6); }, 50.0,
                       1e-6 * curve<D>().breakdown(D::variable(50e-6, 0)).partial(0)));
}

TEST_CASE_TEMPLATE("a trigger gap burns at its drop, and only leaks before", S, float, double, long double) {
  const double close = 16 * double(round_off<S>);
  CHECK(relative_gap(gap<S>.current(S(85)), 5e-3L) < close);
  CHECK(gap<S>.current(S(60)) == S(0));
  CHECK(gap<S>.current(S(-100)) == S(0));
  CHECK(relative_gap(gap<S>.dark({S(140), S(-50), S(0)}).to_cathode, -50e-9L) < close);
  CHECK(relative_gap(gap<S>.burning({S(140), S(85), S(0)}).to_cathode, 5e-3L + 85e-9L) < close);
  CHECK(relative_gap(gap<S>.burning({S(140), S(85), S(0)}).to_cathode_by_grid, 2e-4L + 1e-9L) < close);
  CHECK(relative_gap(gap<S>.floor(), 61.01L) < close);
  CHECK(relative_gap(gap<S>.strikes_at(S(1)), 80.0L) < close);
  CHECK(relative_gap(gap<S>.strikes_at(S(0)), 61.01L) < close);
}

TEST_CASE_TEMPLATE("while the main gap conducts the trigger is held near its drop, from both sides", S, float, double,
                   long double) {
  const double close = 64 * double(round_off<S>);
  const GridPaths<S> low = gap<S>.lit({S(70), S(0), S(0)}, S(20e-3L));
  CHECK(relative_gap(low.from_plate, 20e-6L) < close);
  CHECK(relative_gap(low.from_plate_by_plate_current, 1e-3L) < close);
  CHECK(low.from_plate_by_grid == S(0));
  const GridPaths<S> near = gap<S>.lit({S(70), S(59.75L), S(0)}, S(20e-3L));
  CHECK(relative_gap(near.from_plate, 5e-6L) < close);
  CHECK(relative_gap(near.from_plate_by_grid, -20e-6L) < close);
  const GridPaths<S> high = gap<S>.lit({S(70), S(65), S(0)}, S(20e-3L));
  CHECK(high.from_plate == S(0));
  CHECK(relative_gap(high.to_cathode, 1e-3L + 65e-9L) < close);
  CHECK(gap<S>.lit({S(70), S(0), S(0)}, S(-1)).from_plate == S(0));
}

TEST_CASE_TEMPLATE("transfer and trigger gap refuse fields out of range", S, float, double, long double) {
  using Curve = TransferCurve<S>;
  refusal::check_field(curve<S>(), &Curve::untriggered, "transfer: untriggered", S(71), S(70));
  refusal::check_field(curve<S>(), &Curve::floor, "transfer: floor", S(1), S(0));
  refusal::check_field(curve<S>(), &Curve::scale, "transfer: scale", S(1e-9L), S(0));
  using Gap = TriggerGap<S>;
  refusal::check_field(gap<S>, &Gap::ignition, "trigger gap: ignition", S(62), S(61));
  refusal::check_field(gap<S>, &Gap::drop, "trigger gap: drop", S(50), S(0));
  refusal::check_field(gap<S>, &Gap::resistance, "trigger gap: resistance", S(1e3), S(0));
  refusal::check_field(gap<S>, &Gap::least_current, "trigger gap: least_current", S(1e-6L), S(0));
  refusal::check_field(gap<S>, &Gap::leakage, "trigger gap: leakage", S(0), S(-1e-9L));
  refusal::check_field(gap<S>, &Gap::ion_share, "trigger gap: ion_share", S(0), S(-1e-9L));
  const auto through = [](S untriggered, S floor, S current, S anode) {
    return refusal::of([&] { static_cast<void>(transfer_through(untriggered, floor, current, anode)); });
  };
  CHECK(through(S(225), S(70), S(1e-4L), S(140)) == "accepted");
  CHECK(through(S(140), S(70), S(1e-4L), S(140)) == "transfer: untriggered");
  CHECK(through(S(225), S(140), S(1e-4L), S(140)) == "transfer: anode");
  CHECK(through(S(225), S(70), S(0), S(140)) == "transfer: transfer_current");
}
