// SPDX-License-Identifier: MIT
#include "schemes_compared.hpp"

std::vector<compare::Method> compare::plain_lamp(const Problem& p) { return plain_schemes(lamp_race(p), p); }
