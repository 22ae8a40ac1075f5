// SPDX-License-Identifier: MIT
#pragma once
// Tables in plain text: columns aligned, long cells wrapped, no line longer than the page.

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace gastube::examples {

/// The longest line that is printed.
constexpr std::size_t page_columns = 100;

struct TextColumn {
  std::string heading{};
  bool to_the_right = false;  ///< numbers stand to the right; only text that stands to the left is wrapped
};

/// Letters, not bytes, of a UTF-8 text.
[[nodiscard]] std::size_t letters_in(std::string_view text);

/// Lines of at most `width` letters, broken at spaces; a longer word is broken where it must be. At least one line.
[[nodiscard]] std::vector<std::string> wrapped(std::string_view text, std::size_t width);

/// Headings, a rule, and the rows; a column whose cells are all empty is left out. Every row has one cell for each
/// column.
[[nodiscard]] std::string text_table(const std::vector<TextColumn>& columns,
                                     const std::vector<std::vector<std::string>>& rows);

}  // namespace gastube::examples
