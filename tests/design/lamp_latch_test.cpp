// SPDX-License-Identifier: MIT
#include "gastube/catalogue/xenon.hpp"
#include "gastube/design/lamp_latch.hpp"

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <string>

using namespace gastube;
using namespace gastube::design;

namespace {

LampLatch<double> sound_latch() {
  return {.load = {.supply = 48, .resistance = 390, .lamp = {.voltage = 24, .current = 0.04}},
          .rest = {-6, 100e3},
          .set = {8, 18e3},
          .capacitance = 0.47e-6,
          .reset_resistance = 56e3,
          .use = {2, 5},
          .heating_time = 12};
}

bool objects(const LampLatchVerdict<double>& verdict, const std::string& words) {
  for (std::size_t k = 0; k < verdict.objection_count; ++k)
    if (std::string(verdict.objections[k].matter).find(words) != std::string::npos) return true;
  return false;
}

/// Does what the objection asks for, and judges again.
template <class Mend>
LampLatchVerdict<double> mended(LampLatch<double> latch, const std::string& words, Mend&& mend) {
  const auto before = judge(catalogue::data_5727, latch);
  REQUIRE(objects(before, words));
  for (std::size_t k = 0; k < before.objection_count; ++k)
    if (std::string(before.objections[k].matter).find(words) != std::string::npos) {
      mend(latch, before.objections[k].needed);
      break;
    }
  return judge(catalogue::data_5727, latch);
}

}  // namespace

TEST_CASE("a well-built latch is sound, and its answers agree with the single questions") {
  const auto latch = sound_latch();
  const auto v = judge(catalogue::data_5727, latch);
  CHECK(v.sound());
  CHECK(v.load.current == load(latch.load, LinearDrop<double>{8, 2}).current);
  CHECK(v.load_dimmest.current < v.load.current);
  CHECK(v.load.current < v.load_brightest.current);
  CHECK(v.release.deionisation_time
        == closeness::relative(11.6e-6 * std::log(v.load.current / 0.1) + 75e-6 - 11.6e-6 * 1.5 * std::log(0.6))
               .epsilon(1e-9));
  CHECK(v.release.hold_off_cold < v.release.hold_off);
  CHECK(v.repetition.highest_rate
        == closeness::relative(1 / (v.repetition.least_lit_time + v.repetition.least_out_time)));
}

TEST_CASE("a supply below what the gas can strike at is objected to, and the supply asked for mends it") {
  auto latch = sound_latch();
  latch.load.supply = 12;
  latch.load.resistance = 0;
  const auto v = judge(catalogue::data_5727, latch);
  CHECK(objects(v, "do not strike every tube"));
  CHECK(v.objections[0].needed > 12.13);
  CHECK(v.objections[0].needed < 30);
  const auto after =
      mended(latch, "do not strike every tube", [](auto& l, double volts) { l.load.supply = 1.001 * volts; });
  CHECK_FALSE(objects(after, "do not strike every tube"));
}

TEST_CASE("a bias that does not hold every tube is objected to, and the bias asked for mends it") {
  auto latch = sound_latch();
  latch.rest.voltage = -1;
  const auto after =
      mended(latch, "does not hold every tube", [](auto& l, double volts) { l.rest.voltage = volts - 1e-6; });
  CHECK(after.sound());
}

TEST_CASE("a capacitor that is too small is objected to, and the capacitance asked for mends it") {
  auto latch = sound_latch();
  latch.capacitance = 50e-9;
  const auto after =
      mended(latch, "long enough to deionise", [](auto& l, double farads) { l.capacitance = 1.0001 * farads; });
  CHECK(after.sound());
}

TEST_CASE("a reset tube that would stay lit is objected to, and the resistor asked for mends it") {
  auto latch = sound_latch();
  latch.reset_resistance = 5e3;
  const auto after = mended(latch, "may stay lit", [](auto& l, double ohms) { l.reset_resistance = 1.0001 * ohms; });
  CHECK(after.sound());
}

TEST_CASE("a load that cannot feed the sustaining current of every tube is objected to") {
  auto latch = sound_latch();
  latch.load.lamp.current = 2e-3;
  latch.load.resistance = 0;
  CHECK(objects(judge(catalogue::data_5727, latch), "cannot feed the sustaining current"));
}

TEST_CASE("a lamp over the rating is objected to by the rating that is violated first") {
  auto latch = sound_latch();
  latch.load.lamp.current = 0.3;
  latch.load.resistance = 39;
  latch.use = {4, 5};
  latch.capacitance = 10e-6;
  const auto v = judge(catalogue::data_5727, latch);
  CHECK(objects(v, "peak cathode current"));  // the reset tube's pulse through a cold lamp
  CHECK(std::string(v.lamp_tube.worst().rating) == "average cathode current");
  CHECK(v.lamp_tube.worst().use > 2);
}

TEST_CASE("halving the series resistor can push the tube over its average rating") {  // common practice, no source
  auto latch = sound_latch();
  latch.load.lamp = {.voltage = 24, .current = 0.1};
  latch.load.resistance = 180;
  latch.use = {30, 30};
  latch.capacitance = 2.2e-6;
  CHECK(judge(catalogue::data_5727, latch).lamp_tube.lines[3].use < 1);
  latch.load.resistance = 90;
  const auto v = judge(catalogue::data_5727, latch);
  CHECK(v.lamp_tube.lines[3].use > 1);
}

TEST_CASE("a supply below the arc drop ends the judgement early and says so") {
  auto latch = sound_latch();
  latch.load.supply = 6;
  const auto v = judge(catalogue::data_5727, latch);
  CHECK(objects(v, "does not exceed the arc drop"));
  CHECK_FALSE(v.load.lights);
}

TEST_CASE("a latch refuses parameters without meaning, by name") {
  auto latch = sound_latch();
  latch.capacitance = 0;
  CHECK_THROWS_WITH_AS(static_cast<void>(judge(catalogue::data_5727, latch)),
                       doctest::Contains("lamp latch: capacitance = 0 F"), InvalidParameter);
  latch = sound_latch();
  latch.load.lamp.voltage = -24;
  CHECK_THROWS_WITH_AS(static_cast<void>(judge(catalogue::data_5727, latch)),
                       doctest::Contains("filament lamp: voltage = -24 V"), InvalidParameter);
}
