// SPDX-License-Identifier: MIT
#include "memory.hpp"

#include <cstdlib>
#include <new>
#if __has_include(<malloc.h>)
#include <malloc.h>
#define GASTUBE_BLOCK_SIZE(block) malloc_usable_size(block)
#else
#define GASTUBE_BLOCK_SIZE(block) std::size_t(0)
#endif

namespace {
std::size_t in_use = 0, most_in_use = 0, at_start = 0;
}

void* operator new(std::size_t size) {
  void* const block = std::malloc(size != 0 ? size : 1);
  if (block == nullptr) throw std::bad_alloc();
  in_use += GASTUBE_BLOCK_SIZE(block);
  if (in_use > most_in_use) most_in_use = in_use;
  return block;
}
[[gnu::noinline]] void operator delete(void* block) noexcept {
  if (block != nullptr) in_use -= GASTUBE_BLOCK_SIZE(block);
  std::free(block);
}
[[gnu::noinline]] void operator delete(void* block, std::size_t) noexcept { operator delete(block); }

namespace compare {

void begin_counting_memory() { at_start = most_in_use = in_use; }
std::size_t most_memory() { return most_in_use - at_start; }

}  // namespace compare
