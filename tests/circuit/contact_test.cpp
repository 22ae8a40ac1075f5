// SPDX-License-Identifier: MIT
#include <gastube/circuit/contact.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/shared_run.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <utility>
#include <vector>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {

/// All edges of a button's schedule: the times at which its contact changes.
template <std::size_t N>
[[nodiscard]] std::vector<double> edges(const PushButton<double, N>& button) {
  std::vector<double> times;
  auto memory = button.memory(-1.0);
  for (double t = button.next_breakpoint(0, memory); is_limited(t); t = button.next_breakpoint(t, memory)) {
    times.push_back(t);
    button.pass_breakpoint(t, memory);
  }
  CHECK_FALSE(button.closed(memory));
  return times;
}

/// Closures seen by a run: times at which the voltage across a pulled-up contact falls to nothing and comes back.
struct Closures {
  std::vector<std::pair<double, double>> spans;
  bool closed = false;
  template <class Run>
  void step(const Run& run) {
    const bool now = voltage(run, 2) < 1.0;
    if (now && !closed) spans.emplace_back(run.time(), -1.0);
    if (!now && closed) spans.back().second = run.time();
    closed = now;
  }
};

enum { ground, supply, pulled_up, node_count };

template <class Contacting>
[[nodiscard]] auto pull_up(const Contacting& contact) {
  return shared_start(wire<node_count>(DcSource{supply, ground, typename Contacting::Scalar(48)},
                                       Resistor{supply, pulled_up, typename Contacting::Scalar(1e3)}, contact));
}

}  // namespace

TEST_CASE_TEMPLATE("a contact carries what the circuit gives when closed and nothing when open", S, float, double,
                   long double) {
  auto run = pull_up(Contact{pulled_up, ground, false, S(0)});
  CHECK(relative_gap(voltage(run, pulled_up), 48) < 8 * double(round_off<S>));
  CHECK(current(run, "contact") == S(0));
  REQUIRE(run.alter([](auto&, auto& mode) { std::get<2>(mode)[0].closed = true; }) == Status::event);
  CHECK(absolute_gap(voltage(run, pulled_up), 0) < 1e-5);
  CHECK(relative_gap(current(run, "contact"), S(0.048L)) < 8 * double(round_off<S>));
  REQUIRE(run.run_until(S(1e-3)) == Status::done);
  CHECK(relative_gap(current(run, "contact"), S(0.048L)) < 8 * double(round_off<S>));
}

TEST_CASE("a closed contact has its resistance") {
  auto run = pull_up(Contact{pulled_up, ground, true, 600.0});
  CHECK(relative_gap(voltage(run, pulled_up), 18.0) < 1e-14);
}

TEST_CASE("a contact's change costs no time, and a run goes on from it") {
  auto run = pull_up(Contact{pulled_up, ground, false, 0.0});
  REQUIRE(run.run_until(5e-3) == Status::done);
  REQUIRE(run.alter([](auto&, auto& mode) { std::get<2>(mode)[0].closed = true; }) == Status::event);
  CHECK(run.time() == 5e-3);
  REQUIRE(run.run_until(6e-3) == Status::done);
  CHECK(run.time() == 6e-3);
}

TEST_CASE("a button without bounce closes at each press for its length") {
  const PushButton<double, 2> button(pulled_up, ground, {{{1e-3, 4e-3}, {7e-3, 2e-3}}});
  const std::vector<double> expected{1e-3, 1e-3 + 4e-3, 7e-3, 7e-3 + 2e-3};
  CHECK(edges(button) == expected);
}

TEST_CASE("bounce makes a contact open and close as often as stated, within its time, at equal intervals") {
  const PushButton<double, 1> button(pulled_up, ground, {{{10e-3, 50e-3}}}, {.bounces = 3, .time = 6e-3});
  const std::vector<double> times = edges(button);
  REQUIRE(times.size() == 14);  // 1 + 2 * 3 edges at the press, as many at the release
  for (std::size_t k = 0; k < 7; ++k) {
    CHECK(relative_gap(times[k], 10e-3 + double(k) * 1e-3) < 1e-15);
    CHECK(relative_gap(times[k + 7], 60e-3 + double(k) * 1e-3) < 1e-15);
  }
}

TEST_CASE("a seed makes the intervals irregular, in order, within the time, and the same for the same seed") {
  const auto seeded = [](std::uint32_t seed) {
    return edges(
        PushButton<double, 2>(pulled_up, ground, {{{0, 1}, {10, 1}}}, {.bounces = 100, .time = 0.2, .seed = seed}));
  };
  const std::vector<double> times = seeded(7), others = seeded(8);
  REQUIRE(times.size() == 804);
  CHECK(times == seeded(7));
  double sum = 0, squares = 0;
  int differing = 0;
  for (std::size_t k = 0; k < times.size(); ++k) {
    const double at = std::array{0.0, 1.0, 10.0, 11.0}[k / 201], even = at + 1e-3 * double(k % 201);
    if (k % 201 == 0 || k % 201 == 200) CHECK(relative_gap(1 + times[k], 1 + even) < 1e-15);
    if (k % 201 > 0) CHECK(times[k] - times[k - 1] > 0.099e-3);
    const double off = (times[k] - even) / 1e-3;
    sum += off, squares += off * off;
    differing += times[k] != others[k];
  }
  CHECK(differing > 780);
  // evenly spread over 0.9 of an interval: no mean, a variance of 0.9^2 / 12; both within four standard errors
  CHECK(std::fabs(sum / 796) < 4 * 0.26 / std::sqrt(796.0));
  CHECK(relative_gap(squares / 796, 0.81 / 12) < 4 * std::sqrt(0.8 / 796));
}

TEST_CASE_TEMPLATE("an irregular bounce leaves the contact closed at its end, in every scalar", S, float, long double) {
  const PushButton<S, 1> button(pulled_up, ground, {{{S(1), S(2)}}}, {.bounces = 5, .time = S(0.5), .seed = 3});
  CHECK(button.closed(button.memory(S(1.5))));
  CHECK_FALSE(button.closed(button.memory(S(0.99))));
  CHECK_FALSE(button.closed(button.memory(S(3.5))));
}

TEST_CASE("a run closes the contact exactly at the edges of the schedule and nowhere else") {
  const PushButton<double, 2> button(pulled_up, ground, {{{10e-3, 50e-3}, {0.1, 20e-3}}}, {.bounces = 2, .time = 4e-3});
  auto run = pull_up(button);
  Closures seen;
  REQUIRE(run.run_until(0.2, seen) == Status::done);
  const std::vector<double> times = edges(button);
  REQUIRE(times.size() == 20);
  REQUIRE(seen.spans.size() == 10);
  for (std::size_t k = 0; k < 10; ++k) {
    CHECK(seen.spans[k].first == times[2 * k]);
    CHECK(seen.spans[k].second == times[2 * k + 1]);
  }
  // the long closures run from the last bounce of the press to the release
  CHECK(relative_gap(seen.spans[2].second - seen.spans[2].first, 46e-3) < 1e-12);
  CHECK(relative_gap(seen.spans[7].second - seen.spans[7].first, 16e-3) < 1e-12);
}

TEST_CASE("a button asked late knows how far its schedule has gone") {
  const PushButton<double, 1> button(pulled_up, ground, {{{10e-3, 50e-3}}}, {.bounces = 1, .time = 2e-3});
  CHECK_FALSE(button.closed(button.memory(9.9e-3)));
  CHECK(button.closed(button.memory(10e-3)));
  CHECK_FALSE(button.closed(button.memory(11.5e-3)));
  CHECK(button.closed(button.memory(30e-3)));
  CHECK_FALSE(button.closed(button.memory(1.0)));
}

TEST_CASE("presses that overlap are refused by the field and the limit") {
  using Presses = std::array<Press<double>, 2>;
  CHECK_THROWS_WITH_AS((PushButton<double, 2>{pulled_up, ground, Presses{{{1, 2}, {2.5, 1}}}}),
                       "push button: press at = 2.5 s, allowed: at least 3 s", InvalidParameter);
  CHECK_THROWS_WITH_AS(
      (PushButton<double, 2>{pulled_up, ground, Presses{{{1, 2}, {3.25, 1}}}, {.bounces = 1, .time = 0.5}}),
      "push button: press at = 3.25 s, allowed: at least 3.5 s", InvalidParameter);
  CHECK_THROWS_WITH_AS((PushButton<double, 1>{pulled_up, ground, {{{0.1, 0.02}}}, {.bounces = 1, .time = 0.02}}),
                       "push button: press length = 0.02 s, allowed: above 0.02 s", InvalidParameter);
  CHECK_THROWS_WITH_AS((PushButton<double, 1>{pulled_up, ground, {{{0.1, 0.2}}}, {.bounces = 1001, .time = 0.02}}),
                       "push button: bounces = 1001, allowed: 0 to 1000", InvalidParameter);
  CHECK_THROWS_WITH_AS((PushButton<double, 1>{pulled_up, ground, {{{0.1, 0.2}}}, {.bounces = 1}}),
                       "push button: bounce time = 0 s, allowed: above 0 s", InvalidParameter);
}
