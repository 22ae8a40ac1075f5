// SPDX-License-Identifier: MIT
#include "schemes_compared.hpp"

std::vector<compare::Method> compare::plain_stray_flip_flop(const Problem& p) {
  return plain_schemes(Race(stray_flip_flop_circuit(), stray_flip_flop.end), p);
}
