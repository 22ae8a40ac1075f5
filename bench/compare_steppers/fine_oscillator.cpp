// SPDX-License-Identifier: MIT
#include "schemes_compared.hpp"

std::vector<compare::Method> compare::fine_oscillator(const Problem&) {
  return fine_schemes(Race(oscillator_circuit(), Oscillator{}.end));
}
