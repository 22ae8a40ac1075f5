// SPDX-License-Identifier: MIT
#pragma once
// The caution that an example prints before its answer.

#include <string>
#include <string_view>

namespace gastube::examples {

/// @param supply V, the highest in the circuit
/// @param more  what else can hurt here, a full sentence
[[nodiscard]] std::string caution(double supply, std::string_view more = {});

}  // namespace gastube::examples
