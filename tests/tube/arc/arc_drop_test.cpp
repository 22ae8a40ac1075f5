// SPDX-License-Identifier: MIT
// Arc drop against current.
#include <gastube/tube/arc/arc_drop.hpp>

#include "fidelity/arc_rows.hpp"
#include "fidelity/check_rows.hpp"
#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"
#include "support_for_tests/slopes.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {

template <class S>
constexpr FallingDrop<S> falling{S(8), S(0.02L), S(0.01L)};

template <class S, class Law>
void check_slope(const Law& law) {
  for (const S current : {S(-0.5), S(0), S(0.005), S(0.01L), S(0.02), S(0.5), S(10)}) {
    CAPTURE(current);
    CHECK(slopes::agrees([&](S i) { return law.voltage(i); }, current, law.slope(current)));
  }
}

}  // namespace

TEST_CASE("the catalogued tubes drop what is published of them") { check_rows(published::arcs::arc_drop); }

TEST_CASE_TEMPLATE("a constant drop is the same at any current", S, float, double, long double) {
  const ConstantDrop<S> law{S(8)};
  for (const S current : {S(-1), S(0), S(1e-8L), S(10)}) {
    CHECK(law.voltage(current) == S(8));
    CHECK(law.slope(current) == S(0));
  }
}

TEST_CASE_TEMPLATE("a linear drop is its value at zero current plus resistance times current", S, float, double,
                   long double) {
  const LinearDrop<S> law{S(8), S(2)};
  CHECK(law.voltage(S(0)) == S(8));
  CHECK(law.voltage(S(0.5)) == S(9));  // by hand
  CHECK(absolute_gap(law.voltage(S(1e-8L)), 8.00000002L) < 8 * double(round_off<S>));
  CHECK(LinearDrop<S>{S(20), S(-4)}.voltage(S(0.5)) == S(18));  // falling
}

TEST_CASE_TEMPLATE("a falling drop nears its asymptote as the current grows", S, float, double, long double) {
  const double close = 8 * double(round_off<S>);
  // By hand: 8 + 0.02/0.1 and so on.
  CHECK(relative_gap(falling<S>.voltage(S(0.1L)), 8.2L) < close);
  CHECK(relative_gap(falling<S>.voltage(S(1)), 8.02L) < close);
  CHECK(relative_gap(falling<S>.voltage(S(0.01L)), 10.0L) < close);
  CHECK(falling<S>.voltage(S(1e6)) >= S(8));
}

TEST_CASE_TEMPLATE("below its least current a falling drop goes on along the tangent and stays finite", S, float,
                   double, long double) {
  const double close = 16 * double(round_off<S>);
  CHECK(relative_gap(falling<S>.voltage(S(0)), 12.0L) < close);  // 10 V plus 0.01 A x 200 ohm, by hand
  CHECK(relative_gap(falling<S>.voltage(S(-0.01L)), 14.0L) < close);
  CHECK(falling<S>.slope(S(0)) == falling<S>.slope(S(0.01L)));
  const S below = std::nextafter(S(0.01L), S(0)), above = std::nextafter(S(0.01L), S(1));
  CHECK(absolute_gap(falling<S>.voltage(below), falling<S>.voltage(above)) < 1e-5);
  CHECK(relative_gap(falling<S>.slope(below), falling<S>.slope(above)) < close);
}

TEST_CASE_TEMPLATE("stated slopes of the drop are those of the drop", S, float, double, long double) {
  check_slope<S>(ConstantDrop<S>{S(8)});
  check_slope<S>(LinearDrop<S>{S(8), S(2)});
  check_slope<S>(LinearDrop<S>{S(20), S(-4)});
  // The falling law bends within 10 mA: near its corner only double and long double resolve the slope by differences.
  if (round_off<S> < S(1e-10L)) check_slope<S>(falling<S>);
}

TEST_CASE("more current never raises a falling drop") {
  double last = falling<double>.voltage(-1.0);
  for (double current = -0.99; current < 2.0; current += 0.003) {
    const double now = falling<double>.voltage(current);
    CHECK(now < last);
    last = now;
  }
}

TEST_CASE_TEMPLATE("arc drops refuse fields out of range", S, float, double, long double) {
  refusal::check_field(ConstantDrop<S>{S(8)}, &ConstantDrop<S>::drop, "constant drop: drop", S(1), S(0));
  const LinearDrop<S> linear{S(8), S(2)};
  refusal::check_field(linear, &LinearDrop<S>::drop, "linear drop: drop", S(1), S(0));
  refusal::check_finite_field(linear, &LinearDrop<S>::resistance, "linear drop: resistance");
  refusal::check_field(falling<S>, &FallingDrop<S>::asymptote, "falling drop: asymptote", S(1), S(0));
  refusal::check_field(falling<S>, &FallingDrop<S>::power, "falling drop: power", S(0), S(-1e-8));
  refusal::check_field(falling<S>, &FallingDrop<S>::least_current, "falling drop: least_current", S(1e-8), S(0));
}

TEST_CASE("a load line meets a falling arc twice, and not at all beyond the sustaining limit") {
  // 9 V and 20 mW at 100 V through 2.2 kohm. Form and criterion: J. D. Cobine, Gaseous Conductors (1941), from memory,
  // after H. Ayrton and W. Kaufmann; numbers worked for this library.
  const FallingDrop<double> arc{.asymptote = 9, .power = 0.02, .least_current = 1e-6};
  const auto spare = [&](double current, double ohms) { return 100 - ohms * current - arc.voltage(current); };
  const auto root = [&](double low, double high) {
    for (int k = 0; k < 100; ++k) {
      const double middle = 0.5 * (low + high);
      ((spare(middle, 2.2e3) > 0) == (spare(low, 2.2e3) > 0) ? low : high) = middle;
    }
    return low;
  };
  const double stable = root(1e-2, 0.1), unstable = root(1e-5, 1e-3);
  CHECK(relative_gap(stable, 0.0411426758) < 1e-8);
  CHECK(relative_gap(arc.voltage(stable), 9.48611) < 1e-6);
  CHECK(relative_gap(unstable, 0.000220961) < 3e-6);
  CHECK(2.2e3 + arc.slope(stable) > 0);
  CHECK(2.2e3 + arc.slope(unstable) < 0);
  // at the limit (E - A)^2 / 4B the line touches: 2B / (E - A) at (E + A) / 2
  const double limit = 103512.5, touch = 0.00043956044;
  CHECK(relative_gap(arc.voltage(touch), 54.5) < 1e-8);
  CHECK(relative_gap(-arc.slope(touch), limit) < 1e-7);
  CHECK(std::fabs(spare(touch, limit)) < 1e-6);
  for (double current = 1e-5; current < 2e-3; current *= 1.01) CHECK(spare(current, 1.0001 * limit) < 0);
}
