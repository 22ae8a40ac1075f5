// SPDX-License-Identifier: MIT
#include "csv.hpp"

#include <fmt/format.h>

#include <array>
#include <cerrno>
#include <charconv>
#include <cstdio>
#include <cstring>

namespace gastube::examples {

std::string exact_text(double value) {
  std::array<char, 32> buffer{};
  const auto [end, error] = std::to_chars(buffer.data(), buffer.data() + buffer.size(), value);
  return error == std::errc{} ? std::string(buffer.data(), end) : std::string("nan");
}

void CsvTable::separate() {
  text_ += row_begun_ ? "," : "";
  row_begun_ = true;
}

/// Quoted where it must be, as RFC 4180 has it.
void CsvTable::cell(std::string_view text) {
  separate();
  if (text.find_first_of(",\"\r\n") == std::string_view::npos) {
    text_ += text;
    return;
  }
  text_ += '"';
  for (const char letter : text) {
    text_ += letter;
    text_ += letter == '"' ? "\"" : "";
  }
  text_ += '"';
}

void CsvTable::cell(double value) {
  separate();
  text_ += exact_text(value);
}

void CsvTable::empty_cell() { separate(); }

void CsvTable::end_row() {
  text_ += '\n';
  row_begun_ = false;
}

WriteResult CsvTable::save(const std::string& path) const {
  std::FILE* file = std::fopen(path.c_str(), "wb");
  if (file == nullptr) { return {false, fmt::format("table {} not written: {}", path, std::strerror(errno))}; }
  const bool written = std::fwrite(text_.data(), 1, text_.size(), file) == text_.size();
  const bool closed = std::fclose(file) == 0;
  if (!written || !closed) { return {false, fmt::format("table {} not written: {}", path, std::strerror(errno))}; }
  return {true, {}};
}

}  // namespace gastube::examples
