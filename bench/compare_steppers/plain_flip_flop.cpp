// SPDX-License-Identifier: MIT
#include "schemes_compared.hpp"

std::vector<compare::Method> compare::plain_flip_flop(const Problem& p) { return plain_schemes(flip_flop_race(), p); }
