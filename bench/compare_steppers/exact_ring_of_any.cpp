// SPDX-License-Identifier: MIT
#include "schemes_compared.hpp"

std::vector<compare::Method> compare::exact_ring_of_any(const Problem& p) {
  return exact_scheme_on(ring_race<gastube::dynamic_extent>(p));
}
