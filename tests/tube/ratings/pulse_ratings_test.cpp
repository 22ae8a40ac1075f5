// SPDX-License-Identifier: MIT
// Ratings of hydrogen pulse tubes.
#include <gastube/adapt/dual.hpp>
#include <gastube/tube/ratings/pulse_ratings.hpp>

#include "fidelity/check_rows.hpp"
#include "fidelity/hydrogen_rows.hpp"
#include "support_for_tests/closeness.hpp"
#include "support_for_tests/refusal.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>
#include <string>

using namespace gastube;
using closeness::relative_gap;

namespace {

template <class S>
constexpr PulseDuty<S> duty{S(8e3), S(90), S(2e-6L), S(500)};

/// Ratings on which no two numbers are alike; made up.
template <class S>
constexpr PulseRatings<S> made{.peak_forward = S(10e3),
                               .peak_current = S(100),
                               .average_current = S(0.2L),
                               .rms_current = S(4),
                               .breakdown_factor = S(1e9),
                               .current_rise = S(1e9),
                               .repetition = S(4000),
                               .peak_inverse = S(9e3),
                               .inverse_after = S(2.5e3),
                               .inverse_time = S(25e-6L),
                               .exempt_spike = S(0.05e-6L)};

/// The line of that name; the first if there is none.
template <class S>
const PulseLine<S>& line(const PulseReport<S>& report, const char* rating) {
  for (const auto& one : report.lines)
    if (std::string(one.rating) == rating) return one;
  FAIL_CHECK("no such line: " << rating);
  return report.lines[0];
}

}  // namespace

TEST_CASE("products, rms rule and inverse rule of the published types come out") {
  check_rows(published::pulses::pulse_ratings);
}

TEST_CASE_TEMPLATE("average, rms and breakdown factor are those of rectangular pulses", S, float, double, long double) {
  const double close = 8 * double(round_off<S>);
  CHECK(relative_gap(duty<S>.average(), 0.09L) < close);  // by hand: 90 A x 0.001
  CHECK(relative_gap(duty<S>.rms(), 90 * std::sqrt(0.001L)) < close);
  CHECK(relative_gap(duty<S>.breakdown_factor(), 3.6e8L) < close);
  CHECK(relative_gap(pulse_rms(duty<S>.average(), duty<S>.current), duty<S>.rms()) < close);
}

TEST_CASE("a line of five sections of 6.25 uH and 2.5 nF at 8 kV: 80 A for 1.25 us, 0.1 A mean, 2.828 A rms, 6.4e8") {
  // G. N. Glasoe and J. V. Lebacqz, Pulse Generators (1948), from memory; numbers worked for this library
  const double impedance = std::sqrt(6.25e-6 / 2.5e-9), width = 2 * 5 * std::sqrt(6.25e-6 * 2.5e-9);
  const PulseDuty<double> matched{8e3, 8e3 / (2 * impedance), width, 1e3};
  CHECK(relative_gap(matched.current, 80.0) < 1e-12);
  CHECK(relative_gap(matched.average(), 0.1) < 1e-12);
  CHECK(relative_gap(matched.rms(), 2.82843) < 2e-6);
  CHECK(relative_gap(matched.breakdown_factor(), 6.4e8) < 1e-12);
}

TEST_CASE_TEMPLATE("the inverse limit is none in the spike, low just after, then full", S, float, double, long double) {
  CHECK(made<S>.inverse_limit(S(0)) == unlimited<S>());
  CHECK(made<S>.inverse_limit(S(0.049e-6L)) == unlimited<S>());
  CHECK(made<S>.inverse_limit(S(0.051e-6L)) == S(2.5e3));
  CHECK(made<S>.inverse_limit(S(24.9e-6L)) == S(2.5e3));
  CHECK(made<S>.inverse_limit(S(25.1e-6L)) == S(9e3));
  PulseRatings<S> odd = made<S>;
  odd.peak_inverse = S(1e3);  // lower than the limit after the pulse: holds there too
  CHECK(odd.inverse_limit(S(1e-6L)) == S(1e3));
}

TEST_CASE_TEMPLATE("every rating has its line, with the share used", S, float, double, long double) {
  PulseDuty<S> stress = duty<S>;
  stress.current_rise = S(0.5e9);
  stress.inverse_after = S(2e3);
  stress.inverse_later = S(3e3);
  const auto report = pulse_report(made<S>, stress);
  const double close = 16 * double(round_off<S>);
  CHECK(relative_gap(line(report, "peak forward plate voltage").use, 0.8L) < close);
  CHECK(relative_gap(line(report, "peak current").use, 0.9L) < close);
  CHECK(relative_gap(line(report, "average current").use, 0.45L) < close);
  CHECK(relative_gap(line(report, "rms current").use, 22.5L * std::sqrt(0.001L)) < close);
  CHECK(relative_gap(line(report, "plate breakdown factor").use, 0.36L) < close);
  CHECK(relative_gap(line(report, "rate of rise of current").use, 0.5L) < close);
  CHECK(relative_gap(line(report, "repetition").use, 0.125L) < close);
  CHECK(relative_gap(line(report, "inverse voltage after the pulse").use, 0.8L) < close);
  CHECK(relative_gap(line(report, "peak inverse voltage").use, 1.0L / 3) < close);
  CHECK(std::string(line(report, "plate breakdown factor").unit) == "V A/s");
  CHECK(line(report, "peak current").value == S(90));
  CHECK(line(report, "peak current").limit == S(100));
  CHECK(std::string(report.worst().rating) == "peak current");
  CHECK(report.all_kept());
}

TEST_CASE("each rating exceeded by itself is found and named") {
  const auto worst = [](auto change) {
    PulseDuty<double> stress{8e3, 60, 1e-6, 500};
    change(stress);
    const auto report = pulse_report(made<double>, stress);
    return report.all_kept() ? std::string("kept") : std::string(report.worst().rating);
  };
  CHECK(worst([](auto&) {}) == "kept");
  CHECK(worst([](auto& d) { d.plate = 10.1e3; }) == "peak forward plate voltage");
  CHECK(worst([](auto& d) { d.current = 101; }) == "peak current");
  CHECK(worst([](auto& d) { d.width = 6.8e-6; }) == "average current");
  CHECK(worst([](auto& d) { d.current = 95, d.width = 4e-6; }) == "rms current");
  CHECK(worst([](auto& d) { d.rate = 2100; }) == "plate breakdown factor");
  CHECK(worst([](auto& d) { d.plate = 1e3, d.rate = 4001, d.width = 1e-7; }) == "repetition");
  CHECK(worst([](auto& d) { d.current_rise = 1.01e9; }) == "rate of rise of current");
  CHECK(worst([](auto& d) { d.inverse_after = 2.6e3; }) == "inverse voltage after the pulse");
  CHECK(worst([](auto& d) { d.inverse_later = 9.1e3; }) == "peak inverse voltage");
  CHECK(worst([](auto& d) { d.inverse_spike = 12e3, d.spike_width = 0.05e-6; }) == "kept");
  CHECK(worst([](auto& d) { d.inverse_spike = 12e3, d.spike_width = 0.051e-6; }) == "inverse voltage after the pulse");
}

TEST_CASE_TEMPLATE("ratings that are not given do not limit", S, float, double, long double) {
  const PulseRatings<S> none;
  none.check();
  const auto report = pulse_report(none, duty<S>);
  for (const auto& one : report.lines) CHECK(one.use == S(0));
  CHECK(report.all_kept());
  CHECK(relative_gap(greatest_repetition(none, duty<S>), 5e5L) < 8 * double(round_off<S>));  // one per width
  CHECK(greatest_repetition(none, PulseDuty<S>{S(8e3), S(90), S(0), S(0)}) == unlimited<S>());
}

TEST_CASE("at the highest repetition every rating is kept, just above it one is not") {
  const unsigned seed = 919;
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> share(0.0, 1.0);
  int by_factor = 0, by_average = 0, by_rms = 0, by_rate = 0;
  for (int k = 0; k < 2000; ++k) {
    PulseDuty<double> stress{10e3 * share(random), 100 * share(random), std::pow(10.0, -7 + 2 * share(random)), 0.0};
    stress.rate = greatest_repetition(made<double>, stress) * (1 - 1e-12);
    CAPTURE(stress.plate);
    CAPTURE(stress.current);
    CAPTURE(stress.width);
    CHECK(pulse_report(made<double>, stress).all_kept());
    stress.rate *= 1.001;
    const auto report = pulse_report(made<double>, stress);
    CHECK_FALSE(report.all_kept());
    const std::string worst = report.worst().rating;
    by_factor += worst == "plate breakdown factor";
    by_average += worst == "average current";
    by_rms += worst == "rms current";
    by_rate += worst == "repetition";
    // A harder pulse never allows a higher rate.
    const PulseDuty<double> harder{stress.plate * 1.1, stress.current * 1.1, stress.width * 1.1, 0.0};
    CHECK(greatest_repetition(made<double>, harder) <= greatest_repetition(made<double>, stress));
  }
  // Each of them limits somewhere.
  CHECK(by_factor > 50);
  CHECK(by_average > 50);
  CHECK(by_rms > 50);
  CHECK(by_rate > 50);
}

TEST_CASE("derivatives are those of the formulas") {
  using D = Dual<double, 2>;
  const PulseDuty<D> stress{D(8e3), D::variable(90.0, 0), D(2e-6), D::variable(500.0, 1)};
  CHECK(relative_gap(stress.average().partial(0), 1e-3) < 1e-14);
  CHECK(relative_gap(stress.rms().partial(1), 0.5 * 90 * std::sqrt(2e-6 / 500)) < 1e-14);
  CHECK(relative_gap(stress.breakdown_factor().partial(1), 7.2e5) < 1e-14);
}

TEST_CASE_TEMPLATE("pulse ratings refuse every field out of range", S, float, double, long double) {
  using R = PulseRatings<S>;
  const R none;
  refusal::check_field(none, &R::peak_forward, "pulse ratings: peak_forward", S(1), S(0));
  refusal::check_field(none, &R::peak_current, "pulse ratings: peak_current", S(1), S(0));
  refusal::check_field(none, &R::average_current, "pulse ratings: average_current", S(1), S(0));
  refusal::check_field(none, &R::rms_current, "pulse ratings: rms_current", S(1), S(0));
  refusal::check_field(none, &R::breakdown_factor, "pulse ratings: breakdown_factor", S(1), S(0));
  refusal::check_field(none, &R::current_rise, "pulse ratings: current_rise", S(1), S(0));
  refusal::check_field(none, &R::repetition, "pulse ratings: repetition", S(1), S(0));
  refusal::check_field(none, &R::peak_inverse, "pulse ratings: peak_inverse", S(1), S(0));
  refusal::check_field(none, &R::inverse_after, "pulse ratings: inverse_after", S(1), S(0));
  refusal::check_field(none, &R::exempt_spike, "pulse ratings: exempt_spike", S(0), S(-1e-9));
  refusal::check_field(none, &R::inverse_time, "pulse ratings: inverse_time", S(1e-6), S(1e-9));
  CHECK(sizeof(R) == 11 * sizeof(S));  // the fields checked above are all there are
}

TEST_CASE_TEMPLATE("a pulse duty refuses every field out of range", S, float, double, long double) {
  using D = PulseDuty<S>;
  refusal::check_field(duty<S>, &D::plate, "pulse duty: plate", S(0), S(-1));
  refusal::check_field(duty<S>, &D::current, "pulse duty: current", S(0), S(-1));
  refusal::check_field(duty<S>, &D::width, "pulse duty: width", S(0), S(-1));
  refusal::check_field(duty<S>, &D::rate, "pulse duty: rate", S(4.9e5), S(5.1e5));
  refusal::check_field(duty<S>, &D::rate, "pulse duty: rate", S(0), S(-1));
  refusal::check_field(duty<S>, &D::current_rise, "pulse duty: current_rise", S(0), S(-1));
  refusal::check_field(duty<S>, &D::inverse_spike, "pulse duty: inverse_spike", S(0), S(-1));
  refusal::check_field(duty<S>, &D::spike_width, "pulse duty: spike_width", S(0), S(-1));
  refusal::check_field(duty<S>, &D::inverse_after, "pulse duty: inverse_after", S(0), S(-1));
  refusal::check_field(duty<S>, &D::inverse_later, "pulse duty: inverse_later", S(0), S(-1));
  CHECK(sizeof(D) == 9 * sizeof(S));
  D bad = duty<S>;
  bad.current = S(-1);
  CHECK(refusal::of([&] { static_cast<void>(pulse_report(made<S>, bad)); }) == "pulse duty: current");
}
