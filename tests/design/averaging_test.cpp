// SPDX-License-Identifier: MIT
#include "gastube/design/averaging.hpp"

#include "support_for_tests/closeness.hpp"

#include <doctest/doctest.h>

#include <numbers>
#include <random>

using namespace gastube;
using namespace gastube::design;

TEST_CASE("the worst window of a pulse train is whole periods and the fullest rest") {
  // 0.5 A against 0.1 A over 30 s, worked for this library.
  CHECK(worst_average(0.5, DutyCycle<double>{2, 10}, 30.0) == closeness::relative(0.1).epsilon(1e-12));
  CHECK(worst_average(0.5, DutyCycle<double>{4, 17}, 30.0) == closeness::relative(0.133333333).epsilon(1e-8));
  CHECK(worst_average(0.5, DutyCycle<double>{6, 31}, 30.0) == closeness::relative(0.1).epsilon(1e-12));
  CHECK(worst_average(0.5, DutyCycle<double>{1, 4}, 30.0) == closeness::relative(0.133333333).epsilon(1e-8));
}

TEST_CASE("no sliding window averages more than the worst one") {
  const unsigned seed = 20260301;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> share(0.05, 1.0), length(0.5, 20.0);
  for (int round = 0; round < 50; ++round) {
    const double period = length(random), on = share(random) * period, window = length(random);
    double greatest = 0;
    for (int start = 0; start < 400; ++start) {
      const double from = period * start / 400.0;
      double sum = 0;
      for (int k = 0; k * period < from + window; ++k)
        sum += std::max(0.0, std::min(from + window, k * period + on) - std::max(from, k * period));
      greatest = std::max(greatest, sum / window);
    }
    const double worst = worst_average(1.0, DutyCycle<double>{on, period}, window);
    CAPTURE(period);
    CAPTURE(on);
    CAPTURE(window);
    CHECK(greatest <= worst + 1e-12);
    CHECK(greatest >= worst - 0.02 * period / window);  // the sampled starts come close to the worst one
  }
}

TEST_CASE("the longest pulse at 0.5 A within 0.1 A over 30 s lasts 6 s") {
  CHECK(longest_pulse(0.5, 0.1, 30.0) == closeness::relative(6.0).epsilon(1e-12));
  CHECK(longest_pulse(0.05, 0.1, 30.0) == 30.0);
}

TEST_CASE("half sines of 0.5 A, 159 mA on the average, may flow for 18.85 s in 30 s, and of 314 mA for ever") {
  // mean of half sines: crest over pi
  CHECK(closeness::relative_gap(longest_pulse(0.5 / std::numbers::pi, 0.1, 30.0), 18.8496) < 1e-5);
  CHECK(worst_average(0.314159 / std::numbers::pi, DutyCycle<double>{30, 30}, 30.0) < 0.1);
  CHECK(worst_average(0.314160 / std::numbers::pi, DutyCycle<double>{30, 30}, 30.0) > 0.1);
}

TEST_CASE("averaging refuses a pulse longer than its period") {
  CHECK_THROWS_WITH_AS(static_cast<void>(worst_average(0.5, DutyCycle<double>{5, 4}, 30.0)),
                       doctest::Contains("period = 4 s"), InvalidParameter);
  CHECK_THROWS_WITH_AS(static_cast<void>(worst_average(0.5, DutyCycle<double>{0, 4}, 30.0)),
                       doctest::Contains("on = 0 s"), InvalidParameter);
  CHECK_THROWS_WITH_AS(static_cast<void>(worst_average(-0.5, DutyCycle<double>{1, 4}, 30.0)),
                       doctest::Contains("current"), InvalidParameter);
}
