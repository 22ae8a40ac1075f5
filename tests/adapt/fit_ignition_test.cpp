// SPDX-License-Identifier: MIT
#include <gastube/adapt/fit_ignition.hpp>

#include "adapt/fits_for_tests.hpp"
#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <random>

using namespace gastube;
using namespace gastube::adapt;
using closeness::relative;
using fits_for_tests::refusal_of;

namespace {

const KneedLine<double> truth{{250.0, -1.4, 0.0}, {gas::xenon.ionisation.value, 0.8, 50.0}};
const std::vector<double> wide{18, 22, 30, 45, 70, 110, 160, 220, 300};

std::vector<IgnitionPoint> points_at(const std::vector<double>& plates, double noise = 0, std::uint64_t seed = 1,
                                     const KneedLine<double>& law = truth) {
  std::mt19937_64 draw(seed);
  std::normal_distribution<double> normal(0.0, 1.0);
  std::vector<IgnitionPoint> points;
  for (const double v : plates) points.push_back({v, law.critical_grid(v) + noise * normal(draw)});
  return points;
}
std::string refusal_at(const std::vector<double>& plates, double noise = 0, std::uint64_t seed = 1) {
  return refusal_of([&] { (void)fit_ignition(points_at(plates, noise, seed), gas::xenon); });
}

}  // namespace

TEST_CASE("points on a kneed line give it back") {
  const IgnitionFit fit = fit_ignition(points_at(wide), gas::xenon);
  CHECK(fit.law.line.control_ratio == relative(250.0).epsilon(1e-9));
  CHECK(fit.law.line.intercept == relative(-1.4).epsilon(1e-9));
  CHECK(fit.law.knee.rise == relative(0.8).epsilon(1e-9));
  CHECK(fit.law.knee.ionisation == gas::xenon.ionisation.value);
  CHECK(fit.scatter < 1e-12);
  for (const double v : wide) CHECK(fit.law.critical_grid(v) == relative(truth.critical_grid(v)).epsilon(1e-9));
}
TEST_CASE("the report names value, uncertainty and unit of every parameter, in their order") {
  const IgnitionFit fit = fit_ignition(points_at(wide, 0.05), gas::xenon);
  REQUIRE(fit.parameters.size() == 3);
  CHECK(std::string(fit.parameters[0].name) == "control ratio");
  CHECK(fit.parameters[0].value == fit.law.line.control_ratio);
  CHECK(std::string(fit.parameters[1].unit) == "V");
  CHECK(fit.parameters[2].value == fit.law.knee.rise);
  CHECK(fit.degrees_of_freedom == 6);
  REQUIRE(fit.residuals.size() == wide.size());
  const auto points = points_at(wide, 0.05);
  for (std::size_t k = 0; k < wide.size(); ++k)
    CHECK(closeness::absolute_gap(fit.residuals[k], points[k].grid - fit.law.critical_grid(wide[k])) < 1e-12);
}
TEST_CASE("known parameters are met within their stated uncertainty, which is the scatter of the estimates") {
  constexpr std::uint64_t seed = 404;
  CAPTURE(seed);
  fits_for_tests::Coverage coverage({250.0, -1.4, 0.8});
  for (std::uint64_t k = 0; k < 600; ++k)
    coverage.add([&] { return fit_ignition(points_at(wide, 0.03, seed + k), gas::xenon).parameters; });
  coverage.check();
}
TEST_CASE("the next firing lies in the band nineteen times of twenty") {
  std::mt19937_64 draw(99);
  std::normal_distribution<double> normal(0.0, 1.0);
  int held = 0;
  for (std::uint64_t k = 0; k < 600; ++k) {
    const IgnitionFit fit = fit_ignition(points_at(wide, 0.03, 7000 + k), gas::xenon);
    const double plate = wide[k % wide.size()], next = truth.critical_grid(plate) + 0.03 * normal(draw);
    held += std::abs(next - fit.law.critical_grid(plate)) < fit.half_width(plate) ? 1 : 0;
  }
  CAPTURE(held);
  CHECK(std::abs(held / 600.0 - 0.95) < 0.036);  // four standard deviations of the share
}
TEST_CASE("the law's uncertainty follows from its derivatives by the parameters") {
  const IgnitionFit fit = fit_ignition(points_at(wide, 0.03), gas::xenon);
  for (const double v : {17.0, 48.0, 250.0}) {
    const auto moved = [&](double ratio, double intercept, double rise) {
      KneedLine<double> law = fit.law;
      law.line.control_ratio += ratio, law.line.intercept += intercept, law.knee.rise += rise;
      return law.critical_grid(v);
    };
    const Eigen::VectorXd slopes = fit.slopes(v);
    CHECK(slopes(0) == relative((moved(1e-3, 0, 0) - moved(-1e-3, 0, 0)) / 2e-3).epsilon(1e-5));
    CHECK(slopes(1) == relative((moved(0, 1e-3, 0) - moved(0, -1e-3, 0)) / 2e-3).epsilon(1e-8));
    CHECK(slopes(2) == relative((moved(0, 0, 1e-3) - moved(0, 0, -1e-3)) / 2e-3).epsilon(1e-8));
    CHECK(fit.uncertainty(v) < fit.half_width(v));
  }
}
TEST_CASE("the band for the catalogue is nowhere narrower than the interval of the next firing") {
  for (std::uint64_t seed = 1; seed < 20; ++seed) {
    const IgnitionFit fit = fit_ignition(points_at(wide, 0.03, seed), gas::xenon);
    const IgnitionBand<double> band = fit.band();
    band.check();
    for (double v = 17; v < 600; v *= 1.1) CHECK(band.half_width(v, fit.law.knee.lift(v)) >= fit.half_width(v));
  }
}
TEST_CASE("a tube without a knee is fitted by its straight line") {
  KneedLine<double> straight = truth;
  straight.knee.rise = 0;
  int without = 0;
  for (std::uint64_t seed = 1; seed < 20; ++seed) {
    const IgnitionFit fit = fit_ignition(points_at(wide, 0.03, seed, straight), gas::xenon);
    CHECK(fit.law.knee.rise >= 0.0);
    CHECK(fit.parameters[2].uncertainty > 0.0);
    without += fit.law.knee.rise == 0.0 ? 1 : 0;
  }
  CAPTURE(without);
  CHECK(without > 2);
  CHECK(without < 17);
}
TEST_CASE("too few points are refused with a place for the next, and following the advice leads to a fit") {
  CHECK(refusal_at({}).find("0 firing points, at least 4 are needed: measure one near ") == 0);
  CHECK(refusal_at({300}).find("1 firing point, at least 4 are needed: measure one near ") == 0);
  CHECK(refusal_at({100, 200, 300}) == "3 firing points, at least 4 are needed: measure one near 17 V of plate");
  std::vector<double> plates{100};
  for (int k = 0; k < 8; ++k) {
    const std::string why = refusal_at(plates, 0.005, 3);
    CAPTURE(why);
    if (why == "accepted") break;
    const auto near = why.find("near ");
    REQUIRE(near != std::string::npos);
    plates.push_back(std::stod(why.substr(near + 5)));
  }
  CHECK(plates.size() <= 5);
  CHECK(refusal_at(plates, 0.005, 3) == "accepted");
}
TEST_CASE("points that leave the knee open are refused with the low plate voltage to measure at") {
  const std::string why = refusal_at({100, 150, 200, 250, 300}, 0.06);
  CAPTURE(why);
  CHECK(why.find("all points lie between 100 V and 300 V and leave the knee open, its rise at 50 V is known to ") == 0);
  CHECK(why.find("; measure one near 17 V of plate, which would make it about ") != std::string::npos);
}
TEST_CASE("points that leave the control ratio open are refused with the high plate voltage to measure at") {
  const std::string near = refusal_at({100, 105, 110, 115, 120}, 0.05, 2);
  CHECK(near.find("all points lie between 100 V and 120 V") == 0);
  const std::string low = refusal_at({18, 22, 27, 33, 40, 50, 60}, 0.01);
  CAPTURE(low);
  CHECK(low.find("all points lie between 18 V and 60 V: the control ratio is known to ") == 0);
  CHECK(low.find(" % only; measure near 300 V, which would make it about ") != std::string::npos);
  const std::string open = refusal_at({18, 22, 27, 33, 40, 50, 60}, 0.05);
  CHECK(open == "all points lie between 18 V and 60 V and leave the control ratio open; measure near 300 V");
}
TEST_CASE("the advice is computed: highest plate voltage and points that are there already change it") {
  const auto text = [](const std::vector<double>& plates, double highest) {
    IgnitionFitOptions options;
    options.highest_plate = highest;
    return refusal_of([&] { (void)fit_ignition(points_at(plates, 0.02), gas::xenon, options); });
  };
  CHECK(text({18, 22, 27, 33, 40, 50, 60}, 150).find("measure near 150 V") != std::string::npos);
  CHECK(text({18, 22, 27, 33, 40, 50, 60}, 60).find("measure near 60 V") != std::string::npos);
  const IgnitionFit fit = fit_ignition(points_at(wide, 0.03), gas::xenon);
  CHECK(fit.next.at > 15.0);
  CHECK(fit.next.text.find("measure near ") == 0);
}
TEST_CASE("a critical grid voltage that rises with plate voltage is refused, naming the two") {
  auto points = points_at(wide);
  points[4].grid = points[5].grid - 0.4;  // 70 V and 110 V
  const std::string why = refusal_of([&] { (void)fit_ignition(points, gas::xenon); });
  CAPTURE(why);
  CHECK(why.find("the critical grid voltage rises with plate voltage between 70 V and 110 V, from ") == 0);
  CHECK(why.find(": measure these again") != std::string::npos);
  IgnitionFitOptions coarse;
  coarse.reading = 0.1;  // a coarse meter: no contradiction any more
  CHECK(refusal_of([&] {
          (void)fit_ignition(points, gas::xenon, coarse);
        }).find("all points lie between 18 V and 300 V and leave the control ratio open")
        == 0);
}
TEST_CASE("a point that the others do not bear out is refused by its number") {
  auto points = points_at(wide, 0.01);
  points[7].grid -= 0.15;
  IgnitionFitOptions fine;
  fine.reading = 0.01;
  CHECK(refusal_of([&] { (void)fit_ignition(points, gas::xenon); }) == "accepted");  // three errors of a reading
  const std::string why = refusal_of([&] { (void)fit_ignition(points, gas::xenon, fine); });
  CAPTURE(why);
  CHECK(why.find("point 8 lies -") == 0);
  CHECK(why.find(" from where the other points put it, ") != std::string::npos);
  CHECK(why.find(" times their scatter: measure it again") != std::string::npos);
}
TEST_CASE("points that bend the wrong way are refused") {
  KneedLine<double> bent = truth;
  bent.knee.rise = -0.15;
  const std::string why = refusal_of([&] {
    IgnitionFitOptions options;
    options.reading = 0.1;
    (void)fit_ignition(points_at(wide, 0.001, 1, bent), gas::xenon, options);
  });
  CHECK(why == "the firing points bend down towards low plate voltage, where a knee bends up: measure again near 17 V");
}
TEST_CASE("a plate voltage at which the fill cannot ionise is refused, and so is what is no number") {
  auto points = points_at(wide);
  points[2].plate = 12;
  CHECK(refusal_of([&] { (void)fit_ignition(points, gas::xenon); })
        == "firing point 3, at 12 V of plate, lies below what the law covers in xenon: measure above 14.1 V");
  points[2].plate = std::nan("");
  CHECK(refusal_of([&] { (void)fit_ignition(points, gas::xenon); })
        == "firing point 3 is not a finite number: measure it again");
}
TEST_CASE("options out of range are refused by name") {
  IgnitionFitOptions options;
  options.reading = 0;
  CHECK_THROWS_AS((void)fit_ignition(points_at(wide), gas::xenon, options), InvalidParameter);
  options = {};
  options.reference_plate = 10;
  CHECK_THROWS_AS((void)fit_ignition(points_at(wide), gas::xenon, options), InvalidParameter);
}
