// SPDX-License-Identifier: MIT
#include "schemes_compared.hpp"

std::vector<compare::Method> compare::fine_ring_of_4(const Problem& p) { return fine_schemes(ring_race<4>(p)); }
