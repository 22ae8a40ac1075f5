// SPDX-License-Identifier: MIT
// The straight control line.
#include <gastube/tube/ignition/control_line.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"
#include "support_for_tests/slopes.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>

using namespace gastube;
using closeness::relative_gap;

TEST_CASE_TEMPLATE("a plate voltage is held off by its share on the grid", S, float, double, long double) {
  const ControlLine<S> line{S(250), S(-1.5), S(12)};
  // By hand: -1.5 - 100 / 250 and so on.
  CHECK(closeness::absolute_gap(line.critical_grid(S(100)), -1.9L) < 4 * double(round_off<S>));
  CHECK(closeness::absolute_gap(line.critical_grid(S(500)), -3.5L) < 8 * double(round_off<S>));
  CHECK(closeness::absolute_gap(line.critical_grid(S(12)), -1.548L) < 4 * double(round_off<S>));
}

TEST_CASE_TEMPLATE("a control line's slope is minus one over the control ratio", S, float, double, long double) {
  const ControlLine<S> line{S(40), S(-2), S(0)};
  for (const S plate : {S(30), S(300), S(3000)})
    CHECK(slopes::agrees([&](S v) { return line.critical_grid(v); }, plate, S(-0.025L)));
}

TEST_CASE_TEMPLATE("nothing fires below the lowest plate voltage, and the line begins on it", S, float, double,
                   long double) {
  const ControlLine<S> line{S(250), S(-1.5), S(12)};
  CHECK(line.critical_grid(std::nextafter(S(12), S(0))) == S(never_fires<S>));
  CHECK(line.critical_grid(S(12)) < S(0));
  CHECK(line.critical_grid(S(0)) == S(never_fires<S>));
  CHECK(line.critical_grid(S(-300)) == S(never_fires<S>));
  CHECK(line.critical_grid(std::numeric_limits<S>::quiet_NaN()) == S(never_fires<S>));
}

TEST_CASE("a line without lowest plate voltage goes through its intercept") {
  const ControlLine<double> line{100.0, -0.7};
  CHECK(line.critical_grid(0.0) == -0.7);
  CHECK(relative_gap(line.critical_grid(1e-8), -0.7 - 1e-10) < 1e-15);
  CHECK(line.critical_grid(-1e-8) == never_fires<double>);
}

TEST_CASE_TEMPLATE("a control line refuses fields out of range", S, float, double, long double) {
  using Law = ControlLine<S>;
  const Law line{S(250), S(-1.5), S(12)};
  refusal::check_field(line, &Law::control_ratio, "control line: control_ratio", S(1e-3), S(0));
  refusal::check_finite_field(line, &Law::intercept, "control line: intercept");
  refusal::check_field(line, &Law::lowest_plate, "control line: lowest_plate", S(0), S(-1e-8));
}
