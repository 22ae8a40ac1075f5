// SPDX-License-Identifier: MIT
#include "schemes_compared.hpp"

std::vector<compare::Method> compare::fine_ring_of_any(const Problem& p) {
  return fine_schemes(ring_race<gastube::dynamic_extent>(p));
}
