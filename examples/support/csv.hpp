// SPDX-License-Identifier: MIT
#pragma once
// Comma-separated tables that spreadsheets and numerical tools read alike, whatever the locale.

#include "picture.hpp"

#include <string>
#include <string_view>

namespace gastube::examples {

/// The shortest text that reads back as the same double; "nan", "inf" and "-inf" for the others.
[[nodiscard]] std::string exact_text(double value);

/// A table that is built up cell by cell and written at once.
class CsvTable {
 public:
  void cell(std::string_view text);
  void cell(double value);
  void empty_cell();
  void end_row();

  [[nodiscard]] const std::string& text() const { return text_; }
  [[nodiscard]] WriteResult save(const std::string& path) const;

 private:
  void separate();

  std::string text_{};
  bool row_begun_ = false;
};

}  // namespace gastube::examples
