// SPDX-License-Identifier: MIT
#include "schemes_compared.hpp"

std::vector<compare::Method> compare::plain_rectifier(const Problem& p) {
  return plain_schemes(Race(rectifier_circuit(), Rectifier{}.end), p);
}
