// SPDX-License-Identifier: MIT
/// A whole run of the lamp latch (set, reset through the commutating capacitor, set again) against SUNDIALS' IDA, whose
/// equations, laws and state machine are written by hand in latch_equations.hpp.
///
/// Voltages are compared as shares of the 48 V line, at 50 instants and all nodes that move. Times of events are
/// compared absolutely and as shares of themselves; where a share of 1e-8 is below 1 ps, 1 ps counts: the stepper's
/// restart step, and so what it takes for one instant.

#include "latch_by_gastube.hpp"
#include "latch_by_ida.hpp"

#include <doctest/doctest.h>

#include <string>

namespace {

using latch::Outcome;

constexpr double reference_tolerance = 1e-10;

[[nodiscard]] Outcome reference(bool with_capacitances, double relative = reference_tolerance) {
  return latch::IdaLatch({}, with_capacitances, relative).run(latch::sample_times);
}
[[nodiscard]] Outcome ours(bool with_capacitances, double relative, double absolute) {
  gastube::Settings<double> settings;
  settings.relative = relative;
  settings.absolute = absolute;
  return latch::run(latch::circuit({}, with_capacitances), settings, latch::sample_times);
}

[[nodiscard]] std::string sequence(const Outcome& outcome) {
  std::string text;
  for (const latch::Event& e : outcome.events) text += std::string(e.tube == 0 ? "set " : "reset ") + e.state + "\n";
  return text;
}
/// The end of an afterglow is where a decay of 12 us passes 5e-8: its time is as much less certain as that is small.
[[nodiscard]] bool ends_afterglow(const latch::Event& event) { return std::string(event.state) == "blocked"; }

void check_times(const Outcome& one, const Outcome& other, double sharp, double afterglow) {
  REQUIRE(sequence(one) == sequence(other));
  for (std::size_t k = 0; k < one.events.size(); ++k) {
    const latch::Event& event = other.events[k];
    const double gap = std::fabs(one.events[k].time - event.time);
    CAPTURE(event.time);
    CAPTURE(event.state);
    CHECK(gap <= (ends_afterglow(event) ? afterglow : sharp));
    CHECK(gap <= std::max(1e-8 * event.time, 1e-12));
  }
}

}  // namespace

TEST_CASE(
    "the latch's reference is converged: at a tenth of its tolerance nothing moves that the comparison could see") {
  for (const bool with_capacitances : {false, true}) {
    CAPTURE(with_capacitances);
    const Outcome usual = reference(with_capacitances), tight = reference(with_capacitances, 0.1 * reference_tolerance);
    check_times(usual, tight, 1e-12, 1e-11);
    REQUIRE(usual.samples.size() == latch::sample_times.size());
    REQUIRE(tight.samples.size() == latch::sample_times.size());
    CHECK(latch::voltage_gap(usual, tight) < 3e-9);
    CHECK(latch::temperature_gap(usual, tight) < 1e-8);
  }
}

TEST_CASE("a lamp latch is set, reset through its capacitor and set again as by SUNDIALS") {
  const Outcome expected = reference(false), got = ours(false, 1e-10, 1e-12);
  // The second tube's plate has hardly begun to fall when the first tube's current has turned.
  CHECK(sequence(expected)
        == "set striking\nset conducting\nreset striking\nreset conducting\nset recovering\nset blocked\n"
           "set striking\nset conducting\nreset recovering\nreset blocked\n");
  check_times(got, expected, 1e-12, 2e-9);
  CHECK(latch::voltage_gap(got, expected) < 1e-7);
  CHECK(latch::temperature_gap(got, expected) < 1e-7);
  CHECK(got.events[4].time - got.events[3].time > 0.0);
  CHECK(got.events[4].time - got.events[3].time < 1e-9);
}

TEST_CASE(
    "a lamp latch with interelectrode capacitances runs as by SUNDIALS, in picoseconds where their charges move") {
  const Outcome expected = reference(true), got = ours(true, 1e-10, 1e-12);
  // Switched on with all nodes at 0 V: the plates rise before the grids are down to their bias, and both tubes begin to
  // strike for 31 ns.
  CHECK(sequence(expected)
        == "set striking\nreset striking\nreset recovering\nreset blocked\nset recovering\nset blocked\n"
           "set striking\nset conducting\nreset striking\nreset conducting\nset recovering\nset blocked\n"
           "set striking\nset conducting\nreset recovering\nreset blocked\n");
  check_times(got, expected, 1e-12, 2e-9);
  CHECK(latch::voltage_gap(got, expected) < 1e-7);
  CHECK(latch::temperature_gap(got, expected) < 1e-7);
}

TEST_CASE("at the settings a run has by itself a lamp latch takes the same course, to a ten-thousandth of the line") {
  for (const bool with_capacitances : {false, true}) {
    CAPTURE(with_capacitances);
    const gastube::Settings<double> usual;
    const Outcome expected = reference(with_capacitances);
    const Outcome got = ours(with_capacitances, usual.relative, usual.absolute);
    CHECK(sequence(got) == sequence(expected));
    CHECK(latch::voltage_gap(got, expected) < 1e-4);
    CHECK(latch::temperature_gap(got, expected) < 1e-4);
  }
}
