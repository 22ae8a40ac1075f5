// SPDX-License-Identifier: MIT
#include <gastube/adapt/fit_recovery.hpp>
#include <gastube/tube/recovery/hold_off.hpp>

#include "adapt/fits_for_tests.hpp"
#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <random>

using namespace gastube;
using namespace gastube::adapt;
using closeness::relative;
using fits_for_tests::refusal_of;

namespace {

const SheathAfterglow<double> truth{12e-6, 75e-6, 0.1, 10.0};
const RestrikeSetup trials{.current = 0.1, .bias = -25, .full = 400, .floor = 12};
const std::vector<double> wide{50e-6, 60e-6, 62e-6, 65e-6, 70e-6, 75e-6, 80e-6, 90e-6, 100e-6, 120e-6};

// By the law itself, not by the fit's own formula.
double restrike(double delay, const RestrikeSetup& c = trials) {
  const double residual = c.current / truth.reference_current * std::exp(-delay / truth.time_constant);
  return c.floor + truth.control(residual, c.bias) * (c.full - c.floor);
}
std::vector<RecoveryPoint> points_at(const std::vector<double>& delays, double noise = 0, std::uint64_t seed = 1,
                                     const RestrikeSetup& c = trials) {
  std::mt19937_64 draw(seed);
  std::normal_distribution<double> normal(0.0, 1.0);
  std::vector<RecoveryPoint> points;
  for (const double t : delays) points.push_back({t, restrike(t, c) + noise * normal(draw)});
  return points;
}
std::string refusal_at(const std::vector<double>& delays, double noise = 0, std::uint64_t seed = 1) {
  return refusal_of([&] { (void)fit_recovery(points_at(delays, noise, seed), trials); });
}

}  // namespace

TEST_CASE("restrike voltages of a known afterglow give it back, at any bias") {
  for (const double bias : {-5.0, -10.0, -25.0, -100.0}) {
    CAPTURE(bias);
    RestrikeSetup c = trials;
    c.bias = bias;
    const double begun = truth.deionisation_time(0.1, bias);
    const RecoveryFit fit =
        fit_recovery(points_at({begun + 2e-6, begun + 5e-6, begun + 15e-6, begun + 40e-6}, 0, 1, c), c);
    CHECK(fit.law.time_constant == relative(12e-6).epsilon(1e-9));
    CHECK(fit.law.time == relative(75e-6).epsilon(1e-9));
    CHECK(fit.law.reference_current == 0.1);
    CHECK(fit.law.reference_bias == 10.0);
  }
}
TEST_CASE("the fitted law withstands in the library's own hold-off what was measured") {
  const ControlLine<double> line{10.0, 15.0, 0.0};  // holds 400 V at -25 V
  RestrikeSetup c = trials;
  c.full = critical_plate(line, c.bias);
  const RecoveryFit fit = fit_recovery(points_at(wide, 0, 1, c), c);
  const auto tube = hold_off(line, fit.law, 0.0, c.floor);
  for (const double t : wide) {
    CHECK(tube.restrike_voltage({c.current, c.bias, 0.0, 100.0}, t) == relative(restrike(t, c)).epsilon(1e-6));
    CHECK(fit.restrike(t) == relative(restrike(t, c)).epsilon(1e-9));
  }
}
TEST_CASE("known times are met within their stated uncertainty") {
  constexpr std::uint64_t seed = 12077;
  CAPTURE(seed);
  const std::vector<double> delays{63e-6, 66e-6, 70e-6, 75e-6, 80e-6, 90e-6, 100e-6};
  fits_for_tests::Coverage coverage({12e-6, 75e-6});
  for (std::uint64_t k = 0; k < 600; ++k)
    coverage.add([&] { return fit_recovery(points_at(delays, 4.0, seed + k), trials).parameters; });
  coverage.check();
}
TEST_CASE("the band follows from the law's derivatives by its two times") {
  const RecoveryFit fit = fit_recovery(points_at(wide, 3.0), trials);
  for (const double t : {66e-6, 75e-6, 110e-6}) {
    const auto moved = [&](double constant, double time) {
      RecoveryFit other = fit;
      other.law.time_constant += constant, other.law.time += time;
      return other.restrike(t);
    };
    const Eigen::VectorXd slopes =
        Eigen::Vector2d((moved(1e-10, 0) - moved(-1e-10, 0)) / 2e-10, (moved(0, 1e-10) - moved(0, -1e-10)) / 2e-10);
    CHECK(fit.half_width(t) == relative(fit.half_band(slopes)).epsilon(1e-4));
  }
  CHECK(fit.half_width(10e-6) == relative(fit.factor * fit.scatter));
}
TEST_CASE("too few trials are refused with the delay in the widest gap") {
  CHECK(refusal_at({}) == "no recovery points, at least 3 are needed: find one at half of full hold-off first");
  CHECK(refusal_at({20e-6, 40e-6}) == "up to 40 us the grid has won nothing back: measure later, near 80 us");
  CHECK(refusal_at({200e-6, 250e-6}) == "from 200 us on the tube has recovered: measure sooner, near 100 us");
  CHECK(refusal_at({50e-6, 120e-6})
            .find("2 recovery points do not tell the rise, at least 3, of which 2 between floor "
                  "and full, are needed: measure near 85 us")
        == 0);
  CHECK(refusal_at({70e-6}).find("1 recovery point does not tell the rise") == 0);
}
TEST_CASE("following the advice from one trial on leads to a fit") {
  std::vector<double> delays{20e-6};
  for (int k = 0; k < 10; ++k) {
    const std::string why = refusal_at(delays, 3.0, 9);
    CAPTURE(why);
    if (why == "accepted") break;
    const auto near = why.find("near ");
    REQUIRE(near != std::string::npos);
    delays.push_back(std::stod(why.substr(near + 5)) * 1e-6);
  }
  CHECK(delays.size() <= 8);
  CHECK(refusal_at(delays, 3.0, 9) == "accepted");
}
TEST_CASE("trials that leave a time open are refused with the delay that would tell it") {
  const std::string why = refusal_at({64e-6, 65e-6, 66e-6, 67e-6}, 8.0, 3);
  CAPTURE(why);
  CHECK(why.find("the points leave the time constant known to ") == 0);
  CHECK(why.find(" % only; measure near ") != std::string::npos);
}
TEST_CASE("no delay is advised after which the tube would withstand more than may be put on it") {
  RestrikeSetup low = trials;
  low.highest_plate = 150;
  const auto points = points_at({59e-6, 59.3e-6, 59.7e-6, 60e-6, 60.5e-6, 61e-6, 62e-6}, 1.0);
  CHECK(restrike(fit_recovery(points, trials).next.at) > 150.0);
  CHECK(restrike(fit_recovery(points, low).next.at) < 155.0);
  low.highest_plate = 5;
  CHECK_THROWS_AS((void)fit_recovery(points, low), InvalidParameter);
}
TEST_CASE("a restrike voltage that falls with the delay is refused, naming the two delays") {
  auto points = points_at(wide);
  points[6].restrike = points[5].restrike - 60;
  CHECK(refusal_of([&] { (void)fit_recovery(points, trials); })
        == "the restrike voltage falls between 75 us and 80 us: measure these again");
}
TEST_CASE("voltages beyond full hold-off or below the floor, and a trial that stands out, are refused by number") {
  auto points = points_at(wide, 1.0);
  points[9].restrike = 460;
  CHECK(refusal_of([&] { (void)fit_recovery(points, trials); })
        == "recovery point 10, 460 V at 120 us, lies above full hold-off: measure it again, and that too");
  points[9].restrike = restrike(120e-6);
  points[0].restrike = -40;
  CHECK(refusal_of([&] {
          (void)fit_recovery(points, trials);
        }).find("recovery point 1, -40 V at 50 us, lies below the arc's floor")
        == 0);
  points[0].restrike = restrike(50e-6);
  points[5].restrike += 25;
  CHECK(refusal_of([&] { (void)fit_recovery(points, trials); }) == "accepted");  // three errors of a reading
  RestrikeSetup fine = trials;
  fine.reading = 1.0;
  CHECK(refusal_of([&] { (void)fit_recovery(points, fine); }).find("point 6 lies ") == 0);
  points[5].delay = -1e-6;
  CHECK(refusal_of([&] { (void)fit_recovery(points, trials); }).find("recovery point 6: delay at least 0") == 0);
}
TEST_CASE("conditions of the trials are checked by name") {
  for (const auto& [field, value] :
       std::vector<std::pair<double RestrikeSetup::*, double>>{{&RestrikeSetup::current, 0.0},
                                                               {&RestrikeSetup::bias, 0.0},
                                                               {&RestrikeSetup::full, 12.0},
                                                               {&RestrikeSetup::floor, 0.0},
                                                               {&RestrikeSetup::reading, -1.0},
                                                               {&RestrikeSetup::greatest, 0.0},
                                                               {&RestrikeSetup::bias_stated, 0.0}}) {
    RestrikeSetup c = trials;
    c.*field = value;
    CHECK_THROWS_AS((void)fit_recovery(points_at(wide), c), InvalidParameter);
  }
}
