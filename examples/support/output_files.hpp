// SPDX-License-Identifier: MIT
#pragma once
// The files that an example leaves behind: the same two options, and the same two lines printed, in every example.

#include "characteristic.hpp"
#include "command_line.hpp"
#include "sheet.hpp"

#include <optional>
#include <string>

namespace gastube::examples {

/// Names of files; empty for none. An example sets the picture's name it uses by default.
struct OutputFiles {
  std::string picture{};
  std::string table{};
};

/// Whether any is asked for: what would only be drawn need not be worked out.
[[nodiscard]] bool is_wanted(const OutputFiles& files);

/// Adds --picture (.png or .svg) and --csv; "none" stands for no file.
void add_output_options(CommandLine& command_line, OutputFiles& files);

/// Draws and writes what is asked for, and prints what became of it. A picture that cannot be drawn is no failure,
/// since the answer is printed anyway; false comes back only when a table that was asked for could not be written.
[[nodiscard]] bool deliver(const WaveformSheet& sheet, const OutputFiles& files,
                           std::optional<Window> zoom = std::nullopt);
[[nodiscard]] bool deliver(const CharacteristicSheet& sheet, const OutputFiles& files);

}  // namespace gastube::examples
