// SPDX-License-Identifier: MIT
// The state machine's table, read row by row.
#include <gastube/tube/states.hpp>

#include <doctest/doctest.h>

#include <algorithm>
#include <set>
#include <string>

using namespace gastube;

namespace {

constexpr std::array states{TubeState::cold,       TubeState::blocked,    TubeState::striking,
                            TubeState::conducting, TubeState::recovering, TubeState::reverse_breakdown};
constexpr std::array causes{Cause::cathode_ready,    Cause::overcritical,        Cause::subcritical,
                            Cause::arc_formed,       Cause::current_lost,        Cause::deionised,
                            Cause::inverse_exceeded, Cause::inverse_current_lost};

std::size_t rows_from(TubeState state) {
  return static_cast<std::size_t>(std::count_if(tube_transitions.begin(), tube_transitions.end(),
                                                [&](const Transition& row) { return row.from == state; }));
}

bool leads(TubeState from, Cause cause, TubeState to) {
  return std::any_of(tube_transitions.begin(), tube_transitions.end(),
                     [&](const Transition& row) { return row.from == from && row.cause == cause && row.to == to; });
}

}  // namespace

TEST_CASE("every state is reached from a cold tube, and all but cold are reached again") {
  std::set<TubeState> reached{TubeState::cold}, entered;
  for (std::size_t round = 0; round < states.size(); ++round)
    for (const Transition& row : tube_transitions)
      if (reached.count(row.from) != 0) {
        reached.insert(row.to);
        entered.insert(row.to);
      }
  CHECK(reached.size() == states.size());
  CHECK(entered.size() == states.size() - 1);
}

TEST_CASE("every state is left by some row, and every cause is used") {
  for (const TubeState state : states) CHECK(rows_from(state) > 0);
  for (const Cause cause : causes)
    CHECK(std::any_of(tube_transitions.begin(), tube_transitions.end(),
                      [&](const Transition& row) { return row.cause == cause; }));
}

TEST_CASE("no row leads from a state to itself, and no cause leads two ways from one state") {
  std::set<std::pair<TubeState, Cause>> seen;
  for (const Transition& row : tube_transitions) {
    CHECK(row.from != row.to);
    CHECK(seen.insert({row.from, row.cause}).second);
  }
}

TEST_CASE("the exits of a state are its rows in the table's order, and null beyond them") {
  for (const TubeState state : states) {
    std::size_t exit = 0;
    for (const Transition& row : tube_transitions)
      if (row.from == state) CHECK(exit_of(state, exit++) == &row);
    for (; exit < most_exits + 2; ++exit) CHECK(exit_of(state, exit) == nullptr);
  }
}

TEST_CASE("most_exits is the most exits of any state") {
  std::size_t most = 0;
  for (const TubeState state : states) most = std::max(most, rows_from(state));
  CHECK(most_exits == most);
}

TEST_CASE("the table says what the textbooks say") {
  // H. J. Reich, Theory and Applications of Electron Tubes (1944), from memory: the grid starts the arc and cannot stop
  // it; only loss of plate current does; then the grid waits for deionisation.
  CHECK(leads(TubeState::striking, Cause::arc_formed, TubeState::conducting));
  CHECK(leads(TubeState::conducting, Cause::current_lost, TubeState::recovering));
  CHECK(leads(TubeState::recovering, Cause::deionised, TubeState::blocked));
  CHECK(leads(TubeState::recovering, Cause::overcritical, TubeState::striking));  // restrike
  CHECK(rows_from(TubeState::conducting) == 1);
  CHECK(rows_from(TubeState::cold) == 1);  // a cold cathode is never let fire
}

TEST_CASE("names are distinct and spelt out") {
  std::set<std::string> names;
  for (const TubeState state : states) names.insert(name(state));
  CHECK(names.size() == states.size());
  for (const Cause cause : causes) names.insert(name(cause));
  CHECK(names.size() == states.size() + causes.size());
  CHECK(names.count("unknown") == 0);
  CHECK(name(TubeState::reverse_breakdown) == std::string("reverse breakdown"));
}
