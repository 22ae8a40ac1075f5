// SPDX-License-Identifier: MIT
#include "schemes_compared.hpp"

std::vector<compare::Method> compare::fine_lamp(const Problem& p) { return fine_schemes(lamp_race(p)); }
