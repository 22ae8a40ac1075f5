// SPDX-License-Identifier: MIT
#include "schemes_compared.hpp"

std::vector<compare::Method> compare::plain_ring_of_4(const Problem& p) { return plain_schemes(ring_race<4>(p), p); }
