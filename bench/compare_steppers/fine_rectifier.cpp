// SPDX-License-Identifier: MIT
#include "schemes_compared.hpp"

std::vector<compare::Method> compare::fine_rectifier(const Problem&) {
  return fine_schemes(Race(rectifier_circuit(), Rectifier{}.end));
}
