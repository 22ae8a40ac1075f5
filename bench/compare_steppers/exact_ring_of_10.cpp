// SPDX-License-Identifier: MIT
#include "schemes_compared.hpp"

std::vector<compare::Method> compare::exact_ring_of_10(const Problem& p) { return exact_scheme_on(ring_race<10>(p)); }
