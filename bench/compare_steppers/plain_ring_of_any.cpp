// SPDX-License-Identifier: MIT
#include "schemes_compared.hpp"

std::vector<compare::Method> compare::plain_ring_of_any(const Problem& p) {
  return plain_schemes(ring_race<gastube::dynamic_extent>(p), p);
}
