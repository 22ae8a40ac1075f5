// SPDX-License-Identifier: MIT
#include "text_table.hpp"

#include <algorithm>
#include <numeric>

namespace gastube::examples {
namespace {

constexpr std::size_t gap = 2;
constexpr std::size_t narrowest = 12;

bool begins_letter(char unit) { return (static_cast<unsigned char>(unit) & 0xC0U) != 0x80U; }

/// The bytes that the first `letters` letters take.
std::size_t bytes_of(std::string_view text, std::size_t letters) {
  std::size_t seen = 0;
  for (std::size_t index = 0; index < text.size(); ++index) {
    if (begins_letter(text[index]) && seen++ == letters) { return index; }
  }
  return text.size();
}

std::string padded(std::string_view text, std::size_t width, bool to_the_right) {
  const std::size_t letters = letters_in(text);
  const std::string space(width > letters ? width - letters : 0, ' ');
  return to_the_right ? space + std::string(text) : std::string(text) + space;
}

using Row = std::vector<std::string>;

struct Layout {
  std::vector<std::size_t> shown{};  // indices of the columns
  std::vector<std::size_t> widths{};
};

std::size_t natural_width(const TextColumn& column, const std::vector<Row>& rows, std::size_t index) {
  std::size_t width = letters_in(column.heading);
  for (const Row& row : rows) { width = std::max(width, letters_in(row[index])); }
  return width;
}

bool is_empty(const std::vector<Row>& rows, std::size_t index) {
  return std::all_of(rows.begin(), rows.end(), [&](const Row& row) { return row[index].empty(); });
}

std::size_t total_width(const Layout& layout) {
  const std::size_t gaps = layout.widths.empty() ? 0 : gap * (layout.widths.size() - 1);
  return std::accumulate(layout.widths.begin(), layout.widths.end(), gaps);
}

/// The widest column of those that may be wrapped, or none.
std::size_t widest_text(const Layout& layout, const std::vector<TextColumn>& columns) {
  std::size_t best = layout.widths.size();
  for (std::size_t place = 0; place < layout.widths.size(); ++place) {
    const bool narrow = columns[layout.shown[place]].to_the_right || layout.widths[place] <= narrowest;
    if (!narrow && (best == layout.widths.size() || layout.widths[place] > layout.widths[best])) { best = place; }
  }
  return best;
}

Layout lay_out(const std::vector<TextColumn>& columns, const std::vector<Row>& rows) {
  Layout layout;
  for (std::size_t index = 0; index < columns.size(); ++index) {
    if (!is_empty(rows, index)) {
      layout.shown.push_back(index);
      layout.widths.push_back(natural_width(columns[index], rows, index));
    }
  }
  while (total_width(layout) > page_columns) {
    const std::size_t place = widest_text(layout, columns);
    if (place == layout.widths.size()) { break; }
    --layout.widths[place];
  }
  return layout;
}

std::string without_spaces_at_end(std::string line) {
  line.erase(line.find_last_not_of(' ') + 1);
  return line;
}

std::string set_row(const Row& row, const Layout& layout, const std::vector<TextColumn>& columns) {
  std::vector<std::vector<std::string>> cells;
  std::size_t height = 1;
  for (std::size_t place = 0; place < layout.shown.size(); ++place) {
    cells.push_back(wrapped(row[layout.shown[place]], layout.widths[place]));
    height = std::max(height, cells.back().size());
  }
  std::string text;
  for (std::size_t line = 0; line < height; ++line) {
    std::string set;
    for (std::size_t place = 0; place < cells.size(); ++place) {
      const std::string_view cell =
          line < cells[place].size() ? std::string_view(cells[place][line]) : std::string_view();
      set += (place > 0 ? std::string(gap, ' ') : std::string())
             + padded(cell, layout.widths[place], columns[layout.shown[place]].to_the_right);
    }
    text += without_spaces_at_end(set) + '\n';
  }
  return text;
}

}  // namespace

std::size_t letters_in(std::string_view text) {
  return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), begins_letter));
}

std::vector<std::string> wrapped(std::string_view text, std::size_t width) {
  std::vector<std::string> lines;
  while (letters_in(text) > width) {
    const std::size_t fit = bytes_of(text, width);
    const std::size_t space = text.substr(0, fit + 1).find_last_of(' ');
    const bool at_space = space != std::string_view::npos && space > 0;
    lines.emplace_back(text.substr(0, at_space ? space : fit));
    text.remove_prefix(at_space ? space + 1 : fit);
  }
  lines.emplace_back(text);
  return lines;
}

std::string text_table(const std::vector<TextColumn>& columns, const std::vector<Row>& rows) {
  const Layout layout = lay_out(columns, rows);
  if (layout.shown.empty()) { return {}; }
  Row headings;
  for (const TextColumn& column : columns) { headings.push_back(column.heading); }
  std::string text =
      set_row(headings, layout, columns) + std::string(std::min(total_width(layout), page_columns), '-') + '\n';
  for (const Row& row : rows) { text += set_row(row, layout, columns); }
  return text;
}

}  // namespace gastube::examples
