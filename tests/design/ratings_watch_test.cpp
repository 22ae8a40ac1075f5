// SPDX-License-Identifier: MIT
#include "gastube/catalogue/xenon.hpp"
#include "gastube/design/ratings_watch.hpp"

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <string>

using namespace gastube;
using namespace gastube::design;

namespace {
Stress<double> gentle() {
  Stress<double> s;
  s.peak_forward = 100, s.peak_inverse = 100, s.peak_current = 0.1, s.average_current = 0.02;
  s.grid_negative_before = 5, s.grid_negative_during = 5, s.heater_positive = 5, s.heater_negative = 5;
  s.heating_time = 30;
  return s;
}
const auto limits = catalogue::ratings_of<double>(catalogue::data_2050_a);
}  // namespace

TEST_CASE("a gentle use keeps every rating") {
  const auto report = watch(limits, gentle());
  CHECK(report.all_kept());
  CHECK(std::string(report.worst().rating) == "negative grid during conduction");
  CHECK(report.worst().use == closeness::relative(0.5));
}

TEST_CASE("each violated rating of the 2050-A is found and is the first") {
  // Limits: data sheet 2050-A, ET-T1686, dated 4-63.
  const auto violated = [](auto&& worsen) {
    Stress<double> s = gentle();
    worsen(s);
    const auto report = watch(limits, s);
    CHECK_FALSE(report.all_kept());
    return std::string(report.worst().rating);
  };
  CHECK(violated([](auto& s) { s.peak_forward = 651; }) == "peak forward plate voltage");
  CHECK(violated([](auto& s) { s.peak_inverse = 1301; }) == "peak inverse plate voltage");
  CHECK(violated([](auto& s) { s.peak_current = 1.01; }) == "peak cathode current");
  CHECK(violated([](auto& s) { s.average_current = 0.101; }) == "average cathode current");
  CHECK(violated([](auto& s) { s.grid_negative_before = 251; }) == "negative grid before conduction");
  CHECK(violated([](auto& s) { s.grid_negative_during = 10.1; }) == "negative grid during conduction");
  CHECK(violated([](auto& s) { s.grid_current = 0.0101; }) == "average positive grid current");
  CHECK(violated([](auto& s) { s.heater_positive = 25.1; }) == "heater positive to cathode");
  CHECK(violated([](auto& s) { s.heater_negative = 100.1; }) == "heater negative to cathode");
  CHECK(violated([](auto& s) { s.heating_time = 9.9; }) == "heating time before conduction");
  CHECK(violated([](auto& s) { s.ambient = 90.1; }) == "ambient temperature");
  CHECK(violated([](auto& s) { s.ambient = -75.1; }) == "ambient temperature");
  CHECK(violated([](auto& s) { s.grid_resistance = 10.1e6; }) == "grid circuit resistance");
}

TEST_CASE("at the limit a rating is kept") {
  Stress<double> s = gentle();
  s.average_current = 0.1;
  const auto report = watch(limits, s);
  CHECK(report.all_kept());
  CHECK(report.worst().use == closeness::relative(1.0));
}

TEST_CASE("a fault current of 10 A is at the limit, 10.1 A is over it") {
  Stress<double> s = gentle();
  s.peak_current = 10;
  CHECK(watch(limits, s).lines[4].use == closeness::relative(1.0));
  s.peak_current = 10.1;
  CHECK(watch(limits, s).lines[4].use > 1.0);
}

TEST_CASE("where nothing is published nothing is violated") {
  const auto report = watch(Ratings<double>{}, gentle());
  CHECK(report.all_kept());
  for (const auto& line : report.lines) CHECK_FALSE(line.applies);
}

TEST_CASE("a tube that has not been heated at all violates its heating time without end") {
  Stress<double> s = gentle();
  s.heating_time = 0;
  const auto report = watch(limits, s);
  CHECK_FALSE(report.all_kept());
  CHECK(std::string(report.worst().rating) == "heating time before conduction");
}
