// SPDX-License-Identifier: MIT
#pragma once
/// The ring laid flat: cathodes 0, N-1, 1, N-2, ... so that neighbours stay two places apart at most, and each cathode
/// followed by what prepares its tube. So ordered, its matrices are bands.

#include <cstddef>

namespace compare {

struct RingFold {
  std::size_t count;
  [[nodiscard]] std::size_t place(std::size_t k) const { return 2 * k < count ? 2 * k : 2 * (count - k) - 1; }
  [[nodiscard]] std::size_t volts(std::size_t k) const { return 2 * place(k); }
  [[nodiscard]] std::size_t prepared(std::size_t k) const { return 2 * place(k) + 1; }
  [[nodiscard]] std::size_t before(std::size_t k) const { return k == 0 ? count - 1 : k - 1; }
  [[nodiscard]] std::size_t after(std::size_t k) const { return k + 1 == count ? 0 : k + 1; }
};

}  // namespace compare
