// SPDX-License-Identifier: MIT
#include "laws/part_laws.hpp"
#include "laws/sample_parts.hpp"

#include <doctest/doctest.h>

using namespace laws;

TEST_CASE_TEMPLATE(
    "a tube writes the slopes of its own currents and charges in every one of its states, and loses none", S, float,
    double, long double) {
  for (const TubeState state : {TubeState::cold, TubeState::blocked, TubeState::striking, TubeState::conducting,
                                TubeState::recovering, TubeState::reverse_breakdown}) {
    CAPTURE(std::string(name(state)));
    check_equations(tetrode<S>(), in_state(tetrode<S>(), state));
    check_equations(ideal<S>(), in_state(ideal<S>(), state));
  }
}
