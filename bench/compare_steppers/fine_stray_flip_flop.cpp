// SPDX-License-Identifier: MIT
#include "schemes_compared.hpp"

std::vector<compare::Method> compare::fine_stray_flip_flop(const Problem&) {
  return fine_schemes(Race(stray_flip_flop_circuit(), stray_flip_flop.end));
}
