// SPDX-License-Identifier: MIT
#include "closed_forms.hpp"

#include "closed_flip_flop.hpp"
#include "closed_lamp.hpp"
#include "closed_oscillator.hpp"
#include "closed_rectifier.hpp"
#include "closed_ring.hpp"
#include "closed_stray_flip_flop.hpp"

#include <memory>

namespace compare {

namespace {

template <class Form, class... Values>
Run runner(const Values&... values) {
  return [form = std::make_shared<Form>(values...)](Outcome& out) { form->run(out); };
}

LampLatch lamp_for_a_day() {
  LampLatch values;
  values.end = 86400;
  return values;
}

template <class T>
Run make(const std::string& problem, std::size_t count) {
  if (problem == "P1") return runner<ClosedOscillator<T>>();
  if (problem == "P2") return runner<ClosedRectifier<T>>();
  if (problem == "P3") return runner<ClosedFlipFlop<T>>();
  if (problem == "P3s") return runner<ClosedStrayFlipFlop<T>>();
  if (problem == "P4") return runner<ClosedLamp<T>>();
  if (problem == "P4day") return runner<ClosedLamp<T>>(lamp_for_a_day());
  Ring ring;
  ring.count = count;
  return runner<ClosedRing<T>>(ring);
}

}  // namespace

Run closed_form(const std::string& problem, std::size_t count) { return make<double>(problem, count); }
Run closed_form_in_long_double(const std::string& problem, std::size_t count) {
  return make<long double>(problem, count);
}

}  // namespace compare
