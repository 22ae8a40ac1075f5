// SPDX-License-Identifier: MIT
#pragma once
/// What a run takes from the heap.

#include <cstddef>

namespace compare {

/// Counts from here on.
void begin_counting_memory();
/// Bytes, the most that were in use at a time since then, beyond what was in use then. 0 where the C library does not
/// tell the size of a block.
[[nodiscard]] std::size_t most_memory();

}  // namespace compare
