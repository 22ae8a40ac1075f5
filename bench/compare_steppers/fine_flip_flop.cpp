// SPDX-License-Identifier: MIT
#include "schemes_compared.hpp"

std::vector<compare::Method> compare::fine_flip_flop(const Problem&) { return fine_schemes(flip_flop_race()); }
