// SPDX-License-Identifier: MIT
#include "schemes_compared.hpp"

std::vector<compare::Method> compare::plain_oscillator(const Problem& p) {
  return plain_schemes(Race(oscillator_circuit(), Oscillator{}.end), p);
}
