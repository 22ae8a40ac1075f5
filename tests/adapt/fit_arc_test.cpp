// SPDX-License-Identifier: MIT
#include <gastube/adapt/fit_arc.hpp>

#include "adapt/fits_for_tests.hpp"
#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <random>

using namespace gastube;
using namespace gastube::adapt;
using closeness::relative;
using fits_for_tests::refusal_of;

namespace {

const LinearDrop<double> rising{9.5, 12.0};
const FallingDrop<double> falling{8.0, 0.05, 0.01};
const std::vector<double> wide{0.01, 0.02, 0.04, 0.06, 0.08, 0.1};

template <class Law>
std::vector<ArcPoint> points_of(const Law& law, const std::vector<double>& currents, double noise = 0,
                                std::uint64_t seed = 1) {
  std::mt19937_64 draw(seed);
  std::normal_distribution<double> normal(0.0, 1.0);
  std::vector<ArcPoint> points;
  for (const double i : currents) points.push_back({i, law.voltage(i) + noise * normal(draw)});
  return points;
}
std::string refusal_at(const std::vector<double>& currents, double noise = 0, std::uint64_t seed = 1) {
  return refusal_of([&] { (void)fit_arc(points_of(rising, currents, noise, seed)); });
}

}  // namespace

TEST_CASE("points on a straight drop give it back") {
  const ArcFit fit = fit_arc(points_of(rising, wide));
  CHECK(fit.law.drop == relative(9.5).epsilon(1e-9));
  CHECK(fit.law.resistance == relative(12.0).epsilon(1e-9));
  CHECK_FALSE(fit.falling);
  REQUIRE(fit.parameters.size() == 2);
  CHECK(std::string(fit.parameters[0].name) == "drop at zero current");
  CHECK(std::string(fit.parameters[1].unit) == "ohm");
}
TEST_CASE("known parameters of an arc are met within their stated uncertainty") {
  constexpr std::uint64_t seed = 31000;
  CAPTURE(seed);
  fits_for_tests::Coverage coverage({9.5, 12.0});
  const std::vector<double> currents{0.01, 0.02, 0.03, 0.04, 0.05, 0.06, 0.08, 0.1};
  for (std::uint64_t k = 0; k < 600; ++k)
    coverage.add([&] { return fit_arc(points_of(rising, currents, 0.05, seed + k)).parameters; });
  coverage.check();
}
TEST_CASE("a falling drop is recognised and given back, a rising one is not taken for it") {
  const ArcFit exact = fit_arc(points_of(falling, wide));
  REQUIRE(exact.falling);
  CHECK(exact.falling->law.asymptote == relative(8.0).epsilon(1e-9));
  CHECK(exact.falling->law.power == relative(0.05).epsilon(1e-9));
  CHECK(exact.falling->law.least_current == 0.01);
  const std::vector<double> currents{0.01, 0.012, 0.015, 0.02, 0.03, 0.05, 0.07, 0.1};
  fits_for_tests::Coverage coverage({8.0, 0.05});
  int mistaken = 0;
  for (std::uint64_t seed = 1; seed <= 600; ++seed) {
    coverage.add([&] { return fit_arc(points_of(falling, currents, 0.1, seed)).falling.value().parameters; });
    const auto straight = points_of(LinearDrop<double>{12.0, -20.0}, wide, 0.05, seed);
    mistaken += refusal_of([&] { (void)fit_arc(straight); }) == "accepted" && fit_arc(straight).falling ? 1 : 0;
  }
  coverage.check();
  CAPTURE(mistaken);
  CHECK(mistaken <= 6);  // odds of 20 to 1 with six points: seldom, and then both laws fit
}
TEST_CASE("the odds for a falling drop are Akaike's: the sums of squares, to the power of the number of points") {
  const ArcFit fit = fit_arc(points_of(falling, wide, 0.1, 5));
  REQUIRE(fit.falling);
  const auto squares = [](const std::vector<double>& r) {
    double sum = 0;
    for (const double x : r) sum += x * x;
    return sum;
  };
  const double expected = 6 * std::log(squares(fit.residuals) / squares(fit.falling->residuals));
  CHECK(fit.falling->advantage == relative(expected).epsilon(1e-9));
  const FallingArcFit& bent = *fit.falling;
  const double error = bent.standard_error(Eigen::Vector2d(1.0, 25.0));  // slopes at 40 mA
  CHECK(bent.half_width(0.04) == relative(bent.factor * std::hypot(bent.scatter, error)).epsilon(1e-12));
}
TEST_CASE("too few arc points are refused with the current to measure at") {
  CHECK(refusal_at({}).find("0 arc points, at least 3 are needed: measure one near ") == 0);
  CHECK(refusal_at({0.1}) == "1 arc point, at least 3 are needed: measure one near 10 mA");
  CHECK(refusal_at({0.01, 0.02}) == "2 arc points, at least 3 are needed: measure one near 100 mA");
  CHECK(refusal_at({0.05, 0.05, 0.05}) == "all points lie at one current: measure one near 100 mA");
}
TEST_CASE("currents close together are refused by what they leave open, and the advice cures it") {
  const std::vector<double> narrow{0.09, 0.093, 0.096, 0.1};
  const std::string why = refusal_at(narrow, 0.1, 4);
  CAPTURE(why);
  CHECK(why.find("all points lie between 90 mA and 100 mA: the resistance is known to ") == 0);
  CHECK(why.find(" ohm only; measure near 10 mA, which would make it about ") != std::string::npos);
  CHECK(refusal_at({0.09, 0.093, 0.096, 0.1, 0.01, 0.01}, 0.1, 4) == "accepted");
  const std::string low = refusal_at({0.01, 0.012, 0.014, 0.016}, 0.05, 4);
  CAPTURE(low);
  CHECK(low.find("the resistance is known to ") != std::string::npos);
  CHECK(low.find("ohm only; measure near 100 mA") != std::string::npos);
}
TEST_CASE("a drop that the others do not bear out, and impossible ones, are refused by number") {
  auto points = points_of(rising, wide, 0.02, 2);
  points[2].drop += 1.5;
  const std::string why = refusal_of([&] { (void)fit_arc(points); });
  CAPTURE(why);
  CHECK(why.find("point 3 lies 1.") == 0);
  points[2].drop = 0;
  CHECK(refusal_of([&] { (void)fit_arc(points); })
        == "arc point 3: current and drop of a lit tube are above 0: measure it again");
}
TEST_CASE("the band of the arc is its scatter and its uncertainty, widest away from the points") {
  const ArcFit fit = fit_arc(points_of(rising, wide, 0.05, 3));
  CHECK(fit.half_width(0.05) > fit.factor * fit.scatter);
  CHECK(fit.half_width(0.3) > fit.half_width(0.05));
  CHECK(fit.half_width(0.0) == relative(fit.factor * std::hypot(fit.scatter, fit.parameters[0].uncertainty)));
  CHECK(fit.next.text.find("measure near ") == 0);
}
TEST_CASE("options of an arc fit are checked") {
  ArcFitOptions options;
  options.highest_current = options.lowest_current;
  CHECK_THROWS_AS((void)fit_arc(points_of(rising, wide), options), InvalidParameter);
}
