// SPDX-License-Identifier: MIT
// Ignition in mercury vapour, by pressure and temperature.
#include <gastube/adapt/dual.hpp>
#include <gastube/tube/ignition/vapour_shift.hpp>

#include "fidelity/check_rows.hpp"
#include "fidelity/ignition_rows.hpp"
#include "gas/rounded.hpp"
#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {

template <class S>
const KneedLine<S> line{{S(200), S(-1), S(0)}, {S(10.4375), S(1), S(50)}};  // made up
template <class S>
const VapourIgnition<S> same{line<S>, S(2), S(2), S(0.5)};

VapourIgnition<double> at(double celsius, double buffer = 0.0) {
  return mercury_ignition(line<double>, 313.15, celsius + constants::ice_point, 0.5, buffer);
}

}  // namespace

TEST_CASE("hotter mercury makes the critical grid more negative, as handbooks say") {
  check_rows(published::firing::vapour_ignition);
}

TEST_CASE_TEMPLATE("at the reference pressure the reference line holds", S, float, double, long double) {
  for (const S plate : {S(11), S(20), S(50), S(500), S(2500)})
    CHECK(absolute_gap(same<S>.critical_grid(plate), line<S>.critical_grid(plate)) < 64 * double(round_off<S>));
}

TEST_CASE_TEMPLATE("eight times the pressure: the knee is lifted a quarter as much, the line shifted by ln 8", S, float,
                   double, long double) {
  VapourIgnition<S> law = same<S>;
  law.pressure = S(16);
  // By hand: -1 - 500/200 + (39.5625/489.5625)^(2/3) / 4 - 0.5 ln 8, with ln 8 from mathematical tables.
  const S lift = line<S>.knee.lift(S(500));
  CHECK(absolute_gap(law.critical_grid(S(500)), -3.5L + 0.25L * wide(lift) - 0.5L * 2.07944154167983592825L)
        < 64 * double(round_off<S>));
  law.shift_per_fold = S(0);
  CHECK(absolute_gap(law.critical_grid(S(50)), -1.25L + 0.25L) < 64 * double(round_off<S>));
}

TEST_CASE_TEMPLATE("no pressure fires a tube at the ionisation potential", S, float, double, long double) {
  for (const S pressure : {S(1e-6L) * S(1.01), S(1e-3L), S(2), S(1e5)}) {
    VapourIgnition<S> law = same<S>;
    law.pressure = pressure;
    CHECK(law.critical_grid(S(10.4375)) == never_fires<S>);
    CHECK(law.critical_grid(S(-100)) == never_fires<S>);
  }
}

TEST_CASE("the line falls with pressure and with plate voltage, whatever the constants") {
  const unsigned seed = 811;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> share(0.0, 1.0);
  const auto spread = [&](double low, double high) { return low * std::pow(high / low, share(random)); };
  for (int k = 0; k < 2000; ++k) {
    VapourIgnition<double> law{{{spread(5, 500), 10 * share(random) - 5, 0}, {10.44, 3 * share(random), 50}},
                               spread(0.01, 100),
                               spread(0.01, 100),
                               2 * share(random)};
    law.check();
    const double plate = spread(10.5, 3000), critical = law.critical_grid(plate);
    CAPTURE(plate);
    CHECK(law.critical_grid(plate * 1.01) <= critical);
    law.pressure *= 1.0 + share(random);
    CHECK(law.critical_grid(plate) <= critical);
  }
}

TEST_CASE("temperature sets the pressure, and a buffer gas steadies the line") {
  CHECK(relative_gap(at(60).pressure, 3.508170) < 2e-5);  // row V7 of the vapour table
  CHECK(relative_gap(at(60).reference_pressure, 0.855067) < 2e-5);
  CHECK(relative_gap(at(60, 10.0).pressure, 13.508170) < 1e-5);
  CHECK(relative_gap(at(60, 10.0).reference_pressure, 10.855067) < 1e-5);
  // By hand: 0.5 V times ln(12.23188 / 0.855067) on the line alone.
  const double knee = line<double>.knee.lift(1000.0);
  const double shift = at(80).critical_grid(1000) - at(40).critical_grid(1000);
  const double thinned = std::pow(12.23188 / 0.855067, -2.0 / 3.0);
  CHECK(absolute_gap(shift, -0.5 * 2.66064 - knee * (1 - thinned)) < 1e-4);
  const double steadied = at(80, 10.0).critical_grid(1000) - at(40, 10.0).critical_grid(1000);
  CHECK(steadied < 0.0);
  CHECK(steadied > 0.5 * shift);
}

TEST_CASE("values and derivatives stay finite for wild input") {
  using D = Dual<double, 2>;
  const KneedLine<D> knee{{D(200), D(-1), D(0)}, {D(10.4375), D(1), D(50)}};
  for (const double pressure : {1e-6, 1.0, 1e6})
    for (const double plate : {1e6, -1e6, 0.0, -0.0, 1e-300, 10.4375, std::nextafter(10.4375, 11.0), 300.0}) {
      CAPTURE(pressure);
      CAPTURE(plate);
      const VapourIgnition<D> law{knee, D(1), D::variable(pressure, 1), D(0.5)};
      law.check();
      const D critical = law.critical_grid(D::variable(plate, 0));
      CHECK(std::isfinite(critical.value()));
      CHECK(std::isfinite(critical.partial(0)));
      CHECK(std::isfinite(critical.partial(1)));
    }
}

TEST_CASE("derivatives by pressure follow the formula") {
  using D = Dual<double, 1>;
  const KneedLine<D> knee{{D(200), D(-1), D(0)}, {D(10.4375), D(1), D(50)}};
  const VapourIgnition<D> law{knee, D(1), D::variable(3.0, 0), D(0.5)};
  const double lift = line<double>.knee.lift(100.0) * std::pow(3.0, -2.0 / 3.0);
  CHECK(relative_gap(law.critical_grid(D(100)).partial(0), (-0.5 - 2.0 / 3.0 * lift) / 3.0) < 1e-12);
}

TEST_CASE_TEMPLATE("a vapour ignition refuses fields out of range", S, float, double, long double) {
  using L = VapourIgnition<S>;
  refusal::check_field(same<S>, &L::reference_pressure, "vapour ignition: reference_pressure", S(1), S(0));
  refusal::check_field(same<S>, &L::pressure, "vapour ignition: pressure", S(1), S(2e6));
  refusal::check_field(same<S>, &L::shift_per_fold, "vapour ignition: shift_per_fold", S(0), S(-1e-8));
  L law = same<S>;
  law.reference.line.control_ratio = S(0);
  CHECK(refusal::of([&] { law.check(); }) == "control line: control_ratio");
  law = same<S>;
  law.reference.knee.rise = S(-1);
  CHECK(refusal::of([&] { law.check(); }) == "low-voltage knee: rise");
}

TEST_CASE("temperatures without liquid mercury and a negative buffer pressure are refused") {
  CHECK(refusal::of([] { return at(-60); }) == "mercury vapour: temperature");
  CHECK(refusal::of([] { return at(700); }) == "vapour ignition: pressure");
  CHECK(refusal::of([] { return at(40, -1.0); }) == "vapour ignition: buffer");
  CHECK(refusal::of([] { return at(450); }) == "accepted");
}
