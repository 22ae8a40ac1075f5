// SPDX-License-Identifier: MIT
#include "schemes_compared.hpp"

std::vector<compare::Method> compare::exact_flip_flop(const Problem&) { return exact_scheme_on(flip_flop_race()); }
