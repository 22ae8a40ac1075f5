// SPDX-License-Identifier: MIT
#include <gastube/adapt/own_tube.hpp>
#include <gastube/catalogue/xenon.hpp>
#include <gastube/design/strike.hpp>

#include "adapt/fits_for_tests.hpp"
#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <set>

using namespace gastube;
using namespace gastube::adapt;
using closeness::relative;

namespace {

const KneedLine<double> line{{231.0, -1.1, 0.0}, {gas::xenon.ionisation.value, 0.9, 50.0}};
const SheathAfterglow<double> afterglow{9e-6, 60e-6, 0.08, 10.0};

IgnitionFit ignition(double reference_plate = 50) {
  std::vector<IgnitionPoint> points;
  for (const double v : {18.0, 30.0, 60.0, 120.0, 200.0, 300.0}) points.push_back({v, line.critical_grid(v)});
  IgnitionFitOptions options;
  options.reference_plate = reference_plate;
  return fit_ignition(points, gas::xenon, options);
}
ArcFit arc() { return fit_arc(std::vector<ArcPoint>{{0.01, 9.2}, {0.05, 9.4}, {0.1, 9.65}}); }
RecoveryFit recovery() {
  std::vector<RecoveryPoint> points;
  const double begun = afterglow.deionisation_time(0.08, -20.0);
  for (const double t : {2e-6, 6e-6, 15e-6, 30e-6}) points.push_back({begun + t, 400 - 388 * std::exp(-t / 9e-6)});
  return fit_recovery(points, {.current = 0.08, .bias = -20, .full = 400, .floor = 12});
}
OwnTube whole() {
  return OwnTube(catalogue::data_5727, "5727 no. 3")
      .with(ignition(), "firing points of 3 May")
      .with(arc(), "arc of 4 May")
      .with(recovery(), "trials of 5 May");
}

}  // namespace

TEST_CASE("a tube built from measurements fires, burns and recovers as measured") {
  const OwnTube mine = whole();
  const auto tube = catalogue::build(mine.data());
  for (const double v : {18.0, 48.0, 300.0})
    CHECK(tube.critical_grid({v, 0, 0}, 0) == relative(line.critical_grid(v)).epsilon(1e-8));
  CHECK(tube.laws().arc.inner.drop == relative(arc().law.drop));
  CHECK(tube.laws().arc.inner.resistance == relative(arc().law.resistance));
  CHECK(tube.laws().recovery.deionisation_time(0.08, -20.0)
        == relative(afterglow.deionisation_time(0.08, -20.0)).epsilon(1e-7));
}
TEST_CASE("the strike verdict takes the measured line and band in place of the published ones") {
  const OwnTube mine = whole();
  const design::StrikeQuestion<double> asked{.plate = 48, .rest = {-6, 0}, .set = {5, 0}};
  const auto answer = design::strike<double>(mine.data(), asked);
  CHECK(answer.critical_grid == relative(line.critical_grid(48)).epsilon(1e-8));
  CHECK(answer.half_band < 1e-6);  // the points have no scatter
  CHECK(design::strike<double>(catalogue::data_5727, asked).half_band > 0.3);
}
TEST_CASE("only what was measured changes, and names its measurement as source") {
  const OwnTube mine = whole();
  std::set<std::string> changed;
  std::vector<catalogue::Datum> before;
  for_each_field(catalogue::data_5727, [&](auto, auto, const catalogue::Datum& d) { before.push_back(d); });
  std::size_t k = 0;
  for_each_field(mine.data(), [&](const char* name, auto, const catalogue::Datum& d) {
    const catalogue::Datum& old = before[k++];
    if (d.value == old.value && std::string(d.source) == old.source) return;
    changed.insert(name);
    if (!is_limited(d.value)) return;
    CHECK(d.confidence == Confidence::derived);
    CHECK(std::string(d.source).find("measured: ") == 0);
  });
  CHECK(changed
        == std::set<std::string>{"control ratio", "control line intercept", "low-voltage knee at 50 V",
                                 "ignition band at zero plate voltage", "ignition band per plate volt",
                                 "uncertain share of the knee", "arc drop", "arc resistance", "least arc drop",
                                 "greatest arc drop", "deionisation time at 10 V bias", "deionisation time constant",
                                 "deionisation reference current", "strong bias", "deionisation time at strong bias"});
  CHECK(std::string(mine.data().control_ratio.source) == "measured: firing points of 3 May");
  CHECK(std::string(mine.data().type) == "5727 no. 3");
}
TEST_CASE("a copy keeps the texts when the first is gone") {
  std::optional<OwnTube> copy;
  {
    const OwnTube first = whole();
    copy = first;
  }
  CHECK(std::string(copy->data().type) == "5727 no. 3");
  CHECK(std::string(copy->data().arc_drop.source) == "measured: arc of 4 May");
}
TEST_CASE("a knee stated at another plate voltage is carried over to the catalogue's") {
  const OwnTube mine = OwnTube(catalogue::data_5727, "own").with(ignition(30.0), "at 30 V");
  CHECK(catalogue::build(mine.data()).critical_grid({20.0, 0, 0}, 0) == relative(line.critical_grid(20)).epsilon(1e-8));
}
TEST_CASE("firing points of another fill are refused") {
  catalogue::TubeData argon = catalogue::data_5727;
  argon.fill = &gas::argon;
  CHECK(fits_for_tests::refusal_of([&] { (void)OwnTube(argon, "own").with(ignition(), "x"); })
        == "the ignition was fitted for another fill than this tube has");
}
