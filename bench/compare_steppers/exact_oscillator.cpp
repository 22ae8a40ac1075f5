// SPDX-License-Identifier: MIT
#include "schemes_compared.hpp"

std::vector<compare::Method> compare::exact_oscillator(const Problem&) {
  return exact_scheme_on(Race(oscillator_circuit(), Oscillator{}.end));
}
