// SPDX-License-Identifier: MIT
// Who watches a run is told what he asks for, and nothing else.
#include <gastube/stepping/observer.hpp>

#include <doctest/doctest.h>

#include <string>

using namespace gastube;

namespace {

struct AnyStepper {};
/// Asks for two of the four.
struct Half {
  std::string heard{};
  void step(const AnyStepper&) { heard += "step "; }
  void change(double time, const Change& change) { heard += change.to + std::to_string(int(time)) + " "; }
};

template <class Observer>
void tell_all(Observer& observer) {
  detail::tell_step(observer, AnyStepper{});
  detail::tell_arrival(observer, AnyStepper{});
  detail::tell_change(observer, 3.0, Change{"a lamp", "dark", "lit", "it was time"});
  detail::tell_jump(observer, AnyStepper{});
}

}  // namespace

TEST_CASE("An observer hears what it asks for") {
  Half half;
  tell_all(half);
  CHECK(half.heard == "step lit3 ");
  Silent silent;
  tell_all(silent);
}
