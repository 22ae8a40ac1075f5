// SPDX-License-Identifier: MIT
// The knee that turns the control line up towards the ionisation potential.
#include <gastube/tube/ignition/low_voltage_knee.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

using namespace gastube;
using closeness::relative_gap;

namespace {

template <class S>
constexpr LowVoltageKnee<S> knee{S(12), S(0.5), S(44)};  // 32 V from ionisation to reference

template <class S>
constexpr KneedLine<S> kneed{{S(250), S(-1), S(0)}, knee<S>};

}  // namespace

TEST_CASE_TEMPLATE("the lift falls with the 2/3 power of the volts above ionisation", S, float, double, long double) {
  const double close = 16 * double(round_off<S>);
  // By hand, from 8^(2/3) = 4: an eighth of the way lifts four times as much, eight times the way a quarter.
  CHECK(relative_gap(knee<S>.lift(S(44)), 0.5L) < close);
  CHECK(relative_gap(knee<S>.lift(S(16)), 2.0L) < close);
  CHECK(relative_gap(knee<S>.lift(S(12 + 256)), 0.125L) < close);
  // An independent evaluation of the same law: the cube root of the square.
  for (const S plate : {S(14), S(20), S(100), S(650)}) {
    const long double ratio = 32.0L / (static_cast<long double>(plate) - 12.0L);
    CHECK(relative_gap(knee<S>.lift(plate), 0.5L * std::cbrt(ratio * ratio)) < close);
  }
}

TEST_CASE_TEMPLATE("no grid voltage fires at or below the ionisation potential", S, float, double, long double) {
  for (const S plate : {S(12), S(12 - 1e-8L), S(6), S(0), S(-1000)}) {
    CHECK(knee<S>.lift(plate) == S(never_fires<S>));
    CHECK(kneed<S>.critical_grid(plate) == S(never_fires<S>));
  }
}

TEST_CASE_TEMPLATE("the lift is cut at never_fires just above the ionisation potential", S, double, long double) {
  // rise (32 / x)^(2/3) = 10000 at x = 32 (0.5 / 10000)^1.5, by hand 1.1314e-5 V.
  const S edge = S(32) * std::pow(S(0.5) / S(10000), S(1.5));
  CHECK(knee<S>.lift(S(12 + 1e-8L)) == S(never_fires<S>));
  CHECK(knee<S>.lift(S(12) + S(0.999) * edge) == S(never_fires<S>));
  CHECK(relative_gap(knee<S>.lift(S(12) + S(1.001) * edge), 1e4L) < 1e-3);
  CHECK(knee<S>.lift(S(12) + S(1.001) * edge) < S(never_fires<S>));
}

TEST_CASE_TEMPLATE("a higher plate voltage never needs a higher grid voltage", S, float, double, long double) {
  const unsigned seed = 41;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> decade(-9.0, 4.0);
  const auto plate = [&] { return S(12) + S(std::pow(10.0, decade(random))); };
  for (int k = 0; k < 2000; ++k) {
    const S one = plate(), other = plate(), low = math::min(one, other), high = math::max(one, other);
    CAPTURE(low);
    CAPTURE(high);
    CHECK(kneed<S>.critical_grid(high) <= kneed<S>.critical_grid(low));
  }
}

TEST_CASE_TEMPLATE("far above the knee the line is left alone, near it the line is lifted by the knee", S, float,
                   double, long double) {
  // By hand: -1 - 44 / 250 + 0.5 at the reference voltage.
  CHECK(relative_gap(kneed<S>.critical_grid(S(44)), -0.676L) < 16 * double(round_off<S>));
  const S far = S(12 + 32e6L);  // (10^6)^(2/3) = 10^4, so 50 microvolts are left
  CHECK(relative_gap(kneed<S>.critical_grid(far), -1.0L - static_cast<long double>(far) / 250.0L + 0.5e-4L)
        < 16 * double(round_off<S>));
  CHECK(kneed<S>.critical_grid(S(20)) > S(-0.1));
}

TEST_CASE("a line's own lowest plate voltage holds under the knee as well") {
  const KneedLine<double> line{{250.0, -1.0, 30.0}, knee<double>};
  CHECK(line.critical_grid(30.0 - 1e-8) == never_fires<double>);
  CHECK(line.critical_grid(30.0) == kneed<double>.critical_grid(30.0));
}

TEST_CASE("a knee without rise is the bare line above the ionisation potential") {
  const KneedLine<double> line{{250.0, -1.0, 0.0}, {12.0, 0.0, 44.0}};
  CHECK(line.critical_grid(12.0 + 1e-8) == line.line.critical_grid(12.0 + 1e-8));
  CHECK(line.critical_grid(12.0) == never_fires<double>);
}

TEST_CASE_TEMPLATE("a knee refuses fields out of range", S, float, double, long double) {
  using Law = LowVoltageKnee<S>;
  refusal::check_field(knee<S>, &Law::ionisation, "low-voltage knee: ionisation", S(10), S(0));
  refusal::check_field(knee<S>, &Law::rise, "low-voltage knee: rise", S(0), S(-1e-8));
  refusal::check_field(knee<S>, &Law::reference_plate, "low-voltage knee: reference_plate", S(12.001), S(12));
}

TEST_CASE("a kneed line refuses the fields of both its laws") {
  KneedLine<double> line = kneed<double>;
  line.line.control_ratio = -1.0;
  CHECK(refusal::of([&] { line.check(); }) == "control line: control_ratio");
  line = kneed<double>;
  line.knee.rise = -1.0;
  CHECK(refusal::of([&] { line.check(); }) == "low-voltage knee: rise");
}
