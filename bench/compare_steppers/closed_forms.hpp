// SPDX-License-Identifier: MIT
#pragma once
/// The hand-written closed forms, in double for the race and in long double for the times that count as right.

#include "outcome.hpp"

#include <functional>
#include <string>

namespace compare {

/// Something that can be run again and again; what it keeps in between is set up once.
using Run = std::function<void(Outcome&)>;

/// @param problem as in problem.hpp, @param count of tubes in the ring
[[nodiscard]] Run closed_form(const std::string& problem, std::size_t count);
[[nodiscard]] Run closed_form_in_long_double(const std::string& problem, std::size_t count);

}  // namespace compare
