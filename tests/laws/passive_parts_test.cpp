// SPDX-License-Identifier: MIT
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/voltmeter.hpp>

#include "laws/part_laws.hpp"
#include "laws/sample_parts.hpp"

#include <doctest/doctest.h>

using namespace laws;

TEST_CASE_TEMPLATE("resistors, contacts, lamps and meters absorb power at any drive", S, float, double, long double) {
  check_passive(Resistor<S>{1, 2, S(330)});
  check_passive(Contact<S>{1, 2, false, S(0)});
  check_passive(Contact<S>{1, 2, true, S(0)});
  check_passive(Contact<S>{1, 2, true, S(10)});
  check_passive(button<S>(), button<S>().memory(S(2)));
  check_passive(lamp<S>());
  check_passive(Voltmeter<S>{1, 2, S(1e4)});
}

TEST_CASE_TEMPLATE("a tube absorbs power, dark at any drive and lit with its current forward", S, float, double,
                   long double) {
  for (const TubeState state : {TubeState::blocked, TubeState::striking, TubeState::recovering}) {
    CAPTURE(std::string(name(state)));
    check_passive(ideal<S>(), in_state(ideal<S>(), state));
    check_passive(tetrode<S>(), in_state(tetrode<S>(), state));
  }
  const auto forward = [](const auto& view) { return view.own(0) > 0; };
  check_passive(ideal<S>(), in_state(ideal<S>(), TubeState::conducting), forward);
  check_passive(tetrode<S>(), in_state(tetrode<S>(), TubeState::conducting), forward);
}
