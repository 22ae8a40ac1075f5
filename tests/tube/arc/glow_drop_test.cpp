// SPDX-License-Identifier: MIT
#include <gastube/adapt/dual.hpp>
#include <gastube/tube/arc/glow_drop.hpp>

#include "fidelity/check_rows.hpp"
#include "fidelity/glow_rows.hpp"
#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"
#include "support_for_tests/slopes.hpp"

#include <doctest/doctest.h>

#include <random>

using namespace gastube;
using closeness::relative_gap;

namespace {

/// 60 V at 0.6 mA, 55 V at 0.1 mA; covered at 1 mA, an arc of 20 V from 50 mA on.
template <class S>
[[nodiscard]] GlowDrop<S> sample() {
  return {line_to_extinction(S(60), S(0.6e-3L), S(55), S(0.1e-3L)), S(1e-3L), S(15e3), S(50e-3L), S(20), S(10e-3L)};
}

}  // namespace

TEST_CASE_TEMPLATE("the normal glow goes through its two published points", S, float, double, long double) {
  const double close = 8 * double(round_off<S>);
  CHECK(relative_gap(sample<S>().voltage(S(0.6e-3L), TubeState::glow), 60.0L) < close);
  CHECK(relative_gap(sample<S>().voltage(S(0.1e-3L), TubeState::glow), 55.0L) < close);
  CHECK(relative_gap(sample<S>().normal.resistance, 1e4L) < 4 * close);
}

TEST_CASE_TEMPLATE("a stabiliser's voltage rises by its regulation over its range", S, float, double, long double) {
  // 0A2: 151 V at 17.5 mA, 2 V from 5 to 30 mA; handbooks, from memory
  const LinearDrop<S> line = line_by_regulation(S(151), S(17.5e-3L), S(2), S(5e-3L), S(30e-3L));
  const double close = 8 * double(round_off<S>);
  CHECK(relative_gap(line.voltage(S(17.5e-3L)), 151.0L) < close);
  CHECK(relative_gap(line.voltage(S(30e-3L)), 152.0L) < close);
  CHECK(relative_gap(line.voltage(S(5e-3L)), 150.0L) < close);
  CHECK(relative_gap(line.resistance, 80.0L) < close);
}

TEST_CASE_TEMPLATE("the abnormal glow goes on from the normal one, and steeper", S, float, double, long double) {
  const GlowDrop<S> drop = sample<S>();
  const double close = 8 * double(round_off<S>);
  CHECK(relative_gap(drop.voltage(S(1e-3L), TubeState::abnormal_glow), drop.voltage(S(1e-3L), TubeState::glow))
        < close);
  CHECK(relative_gap(drop.glow_voltage(S(3e-3L)), 64.0L + 15e3L * 2e-3L) < close);
  CHECK(relative_gap(drop.glow_voltage(S(0.5e-3L)), 59.0L) < close);
  CHECK(drop.voltage(S(60e-3L), TubeState::arc) == S(20));
}

TEST_CASE("each state's slope is the derivative of its voltage") {
  for (const TubeState state : {TubeState::glow, TubeState::abnormal_glow, TubeState::arc, TubeState::dark})
    for (const double current : {1e-4, 2e-3, 0.04}) {
      const auto volts = [&](double i) { return sample<double>().voltage(i, state); };
      CHECK(slopes::agrees(volts, current, sample<double>().slope(current, state)));
      using D = Dual<double, 1>;
      const GlowDrop<D> dual = sample<D>();
      CHECK(dual.voltage(D::variable(current, 0), state).partial(0) == dual.slope(D(current), state).value());
    }
}

TEST_CASE("the voltage of a glow never falls as its current rises") {
  const unsigned seed = 81;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> current(0.0, 50e-3), more(0.0, 1e-2);
  for (int k = 0; k < 2000; ++k) {
    const double low = current(random), high = low + more(random);
    CHECK(sample<double>().glow_voltage(high) >= sample<double>().glow_voltage(low));
  }
}

TEST_CASE("normal current densities are those of the tables") { check_rows(published::glow_tubes::densities); }

TEST_CASE_TEMPLATE("the current that covers the cathode goes with its area and the square of the pressure", S, float,
                   double, long double) {
  // Argon, 160 uA/(cm2 Torr2): 2 cm2 at 10 Torr take 32 mA, by hand.
  const S torr = S(constants::torr);
  CHECK(relative_gap(glow::covering_current("Ar", S(S(10) * torr), S(2e-4L)), 32e-3L) < 1e-6);
  CHECK(relative_gap(glow::covering_current("Ar", S(S(30) * torr), S(1e-4L)), 144e-3L) < 1e-6);
}

TEST_CASE("normal cathode falls are those of the tables, and only those") {
  // J. D. Cobine, Gaseous Conductors, and A. von Engel, Ionized Gases, from memory
  CHECK(glow::normal_fall("Fe", "Ne").value == 150);
  CHECK(glow::normal_fall("Ni", "Ar").value == 131);
  CHECK(glow::normal_fall("Mo", "Hg").value == 353);
  CHECK(glow::normal_fall("K", "air").value == 180);
  CHECK(glow::normal_fall("Al", "N2").value == 180);
  CHECK(glow::normal_fall("Pt", "H2").value == 276);
  CHECK(glow::normal_fall("Cu", "He").value == 177);
  CHECK_THROWS_AS(static_cast<void>(glow::normal_fall("Mo", "He")), InvalidRequest);
  CHECK_THROWS_AS(static_cast<void>(glow::normal_fall("Au", "Ne")), InvalidRequest);
  CHECK_THROWS_AS(static_cast<void>(glow::normal_fall("Fe", "Kr")), InvalidRequest);
  CHECK_THROWS_AS(static_cast<void>(glow::normal_density("Xe", 100.0)), InvalidRequest);
}

TEST_CASE_TEMPLATE("a glow drop refuses fields out of range", S, float, double, long double) {
  using Drop = GlowDrop<S>;
  const Drop good = sample<S>();
  CHECK(refusal::of([&] { good.check(); }) == "accepted");
  refusal::check_field(good, &Drop::covered_from, "glow drop: covered_from", S(2e-3L), S(0));
  refusal::check_field(good, &Drop::abnormal_resistance, "glow drop: abnormal_resistance", S(1.1e4L), S(0.9e4L));
  refusal::check_field(good, &Drop::arc_from, "glow drop: arc_from", S(0.02L), S(1e-3L));
  refusal::check_field(good, &Drop::arc_drop, "glow drop: arc_drop", S(30), S(800));
  refusal::check_field(good, &Drop::arc_least, "glow drop: arc_least", S(50e-3L), S(51e-3L));
  Drop flat = good;
  flat.normal.resistance = S(0);
  CHECK(refusal::of([&] { flat.check(); }) == "glow drop: resistance of the normal glow");
}

TEST_CASE("the factories refuse contradictory figures") {
  const auto points = [](double maintaining, double at, double extinction, double least) {
    return refusal::of([&] { static_cast<void>(line_to_extinction(maintaining, at, extinction, least)); });
  };
  CHECK(points(60, 1e-3, 55, 1e-4) == "accepted");
  CHECK(points(55, 1e-3, 55, 1e-4) == "glow line: maintaining");
  CHECK(points(60, 1e-4, 55, 1e-4) == "glow line: design_current");
  CHECK(points(60, 1e-3, 0, 1e-4) == "glow line: extinction");
  CHECK(points(60, 1e-3, 55, -1e-4) == "glow line: least_current");
  const auto range = [](double rise, double lowest, double highest) {
    return refusal::of([&] { static_cast<void>(line_by_regulation(150.0, 20e-3, rise, lowest, highest)); });
  };
  CHECK(range(2, 5e-3, 30e-3) == "accepted");
  CHECK(range(0, 5e-3, 30e-3) == "glow line: rise");
  CHECK(range(2, -1, 30e-3) == "glow line: lowest");
  CHECK(range(2, 30e-3, 30e-3) == "glow line: highest");
  CHECK(range(300, 5e-3, 30e-3) == "glow line: maintaining");
  CHECK(refusal::of([] { static_cast<void>(glow::normal_density("Ne", 0.0)); }) == "normal current density: pressure");
  CHECK(refusal::of([] { static_cast<void>(glow::covering_current("Ne", 1e3, 0.0)); }) == "covering current: area");
}
