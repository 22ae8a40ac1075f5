// SPDX-License-Identifier: MIT
#include "schemes_compared.hpp"

std::vector<compare::Method> compare::exact_stray_flip_flop(const Problem&) {
  return exact_scheme_on(Race(stray_flip_flop_circuit(), stray_flip_flop.end));
}
