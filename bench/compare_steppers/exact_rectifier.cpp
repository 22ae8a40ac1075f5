// SPDX-License-Identifier: MIT
#include "schemes_compared.hpp"

std::vector<compare::Method> compare::exact_rectifier(const Problem&) {
  return exact_scheme_on(Race(rectifier_circuit(), Rectifier{}.end));
}
