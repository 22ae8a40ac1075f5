// SPDX-License-Identifier: MIT
#include "schemes_compared.hpp"

std::vector<compare::Method> compare::fine_ring_of_10(const Problem& p) { return fine_schemes(ring_race<10>(p)); }
