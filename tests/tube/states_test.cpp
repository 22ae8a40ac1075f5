// SPDX-License-Identifier: MIT
// The state machines' tables, read row by row.
#include <gastube/tube/states.hpp>

#include <doctest/doctest.h>

#include <algorithm>
#include <set>
#include <string>
#include <utility>

using namespace gastube;

namespace {

template <std::size_t N>
std::set<TubeState> states_of(const std::array<Transition, N>& table) {
  std::set<TubeState> states;
  for (const Transition& row : table) states.insert({row.from, row.to});
  return states;
}

template <std::size_t N>
std::size_t rows_from(const std::array<Transition, N>& table, TubeState state) {
  return static_cast<std::size_t>(
      std::count_if(table.begin(), table.end(), [&](const Transition& row) { return row.from == state; }));
}

template <std::size_t N>
bool leads(const std::array<Transition, N>& table, TubeState from, Cause cause, TubeState to) {
  return std::any_of(table.begin(), table.end(),
                     [&](const Transition& row) { return row.from == from && row.cause == cause && row.to == to; });
}

/// States entered on the way from the first row's state.
template <std::size_t N>
std::set<TubeState> entered_from_the_first(const std::array<Transition, N>& table) {
  std::set<TubeState> reached{table[0].from}, entered;
  for (std::size_t round = 0; round < N; ++round)
    for (const Transition& row : table)
      if (reached.count(row.from) != 0) {
        reached.insert(row.to);
        entered.insert(row.to);
      }
  return entered;
}

template <class Function>
void for_each_table(Function&& f) {
  f(hot_cathode_transitions, "hot cathode");
  f(glow_transitions, "glow");
  f(trigger_transitions, "trigger");
}

}  // namespace

TEST_CASE("every state is entered again and again, but for a cold tube's, which is left for good") {
  for_each_table([](const auto& table, const char* family) {
    CAPTURE(std::string(family));
    auto expected = states_of(table);
    expected.erase(TubeState::cold);
    CHECK(entered_from_the_first(table) == expected);
  });
}

TEST_CASE("every state is left by some row") {
  for_each_table([](const auto& table, const char* family) {
    CAPTURE(std::string(family));
    for (const TubeState state : states_of(table)) CHECK(rows_from(table, state) > 0);
  });
}

TEST_CASE("no row leads from a state to itself, and no cause leads two ways from one state") {
  for_each_table([](const auto& table, const char* family) {
    CAPTURE(std::string(family));
    std::set<std::pair<TubeState, Cause>> seen;
    for (const Transition& row : table) {
      CHECK(row.from != row.to);
      CHECK(seen.insert({row.from, row.cause}).second);
    }
  });
}

TEST_CASE("the exits of a state are its rows in the table's order, and null beyond them") {
  for_each_table([](const auto& table, const char* family) {
    CAPTURE(std::string(family));
    std::size_t most = 0;
    for (const TubeState state : states_of(table)) {
      std::size_t exit = 0;
      for (const Transition& row : table)
        if (row.from == state) CHECK(exit_of(table, state, exit++) == &row);
      most = std::max(most, exit);
      for (; exit < 6; ++exit) CHECK(exit_of(table, state, exit) == nullptr);
    }
    CHECK(most_exits(table) == most);
  });
}

TEST_CASE("a discharge that has formed burns as arc or as glow") {
  CHECK(burning_state(hot_cathode_transitions) == TubeState::conducting);
  CHECK(burning_state(glow_transitions) == TubeState::glow);
  CHECK(burning_state(trigger_transitions) == TubeState::conducting);
}

TEST_CASE("the hot-cathode table says what the textbooks say") {
  // H. J. Reich, Theory and Applications of Electron Tubes (1944), from memory: the grid starts the arc and cannot stop
  // it; only loss of plate current does; then the grid waits for deionisation.
  const auto& table = hot_cathode_transitions;
  CHECK(leads(table, TubeState::striking, Cause::arc_formed, TubeState::conducting));
  CHECK(leads(table, TubeState::conducting, Cause::current_lost, TubeState::recovering));
  CHECK(leads(table, TubeState::recovering, Cause::deionised, TubeState::blocked));
  CHECK(leads(table, TubeState::recovering, Cause::overcritical, TubeState::striking));     // restrike
  CHECK(leads(table, TubeState::conducting, Cause::current_awaited, TubeState::starting));  // through a coil
  CHECK(leads(table, TubeState::starting, Cause::current_reached, TubeState::conducting));
  CHECK(leads(table, TubeState::starting, Cause::current_lost, TubeState::recovering));
  CHECK(rows_from(table, TubeState::conducting) == 2);
  for (const Transition& row : table)  // a cold cathode is never let fire
    if (row.from == TubeState::cold) CHECK(row.to != TubeState::striking);
}

TEST_CASE("the cold-cathode tables say what the textbooks say") {
  // J. B. Dance, Cold Cathode Trigger Tubes (1965): the trigger starts the main gap and cannot stop it.
  CHECK(rows_from(trigger_transitions, TubeState::conducting) == 1);
  CHECK(leads(trigger_transitions, TubeState::conducting, Cause::current_lost, TubeState::recovering));
  CHECK(leads(trigger_transitions, TubeState::trigger_glow, Cause::overcritical, TubeState::striking));
  // J. D. Cobine, Gaseous Conductors (1941), from memory: normal glow, abnormal glow, arc, in order of current.
  CHECK(leads(glow_transitions, TubeState::glow, Cause::cathode_covered, TubeState::abnormal_glow));
  CHECK(leads(glow_transitions, TubeState::abnormal_glow, Cause::glow_to_arc, TubeState::arc));
  CHECK_FALSE(leads(glow_transitions, TubeState::glow, Cause::glow_to_arc, TubeState::arc));
}

TEST_CASE("lit are the states with a voltage against a current") {
  for (const TubeState state :
       {TubeState::conducting, TubeState::glow, TubeState::abnormal_glow, TubeState::arc, TubeState::reverse_breakdown})
    CHECK(is_lit(state));
  for (const TubeState state : {TubeState::cold, TubeState::blocked, TubeState::dark, TubeState::trigger_glow,
                                TubeState::striking, TubeState::recovering})
    CHECK_FALSE(is_lit(state));
}

TEST_CASE("names are distinct and spelt out") {
  std::set<std::string> names;
  std::size_t given = 0;
  for (int k = 0; k <= int(TubeState::reverse_breakdown); ++k, ++given) names.insert(name(TubeState(k)));
  for (int k = 0; k <= int(Cause::glow_to_arc); ++k, ++given) names.insert(name(Cause(k)));
  CHECK(names.size() == given);
  CHECK(names.count("unknown") == 0);
  CHECK(name(TubeState::reverse_breakdown) == std::string("reverse breakdown"));
  CHECK(name(Cause::glow_to_arc) == std::string("current beyond the glow"));
}
