// SPDX-License-Identifier: MIT
#pragma once
// How an example prints its answer: headings, paragraphs, a table of quantities against their limits, and the log of
// events. Everything comes back as plain text without colours; `print` puts it on the standard output.

#include "quantity.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace gastube::examples {

enum class LimitKind { at_most, at_least };

/// One line of an answer. Whatever is empty leaves its cell empty.
struct AnswerRow {
  std::string quantity{};
  std::optional<double> value{};  ///< SI
  std::string unit{};             ///< without a prefix
  std::optional<double> limit{};  ///< SI, in the same unit
  LimitKind kind = LimitKind::at_most;
  std::optional<double> margin{};  ///< SI, positive on the safe side
  std::string verdict{};
};

/// A quantity that is held against nothing.
[[nodiscard]] AnswerRow fact(std::string_view quantity, double value, std::string_view unit,
                             std::string_view verdict = {});

/// A quantity that may not exceed a limit: margin and verdict ("within", "exceeded", or "unknown" for NaN) follow.
[[nodiscard]] AnswerRow at_most(std::string_view quantity, double value, std::string_view unit, double limit);

/// The same for a rating that may not be published: an unlimited one (see is_limited) is told as such.
[[nodiscard]] AnswerRow within_rating(std::string_view quantity, double value, std::string_view unit, double rating);

/// A quantity that may not fall below a limit: margin and verdict ("enough", "too little", or "unknown" for NaN)
/// follow.
[[nodiscard]] AnswerRow at_least(std::string_view quantity, double value, std::string_view unit, double limit);

/// A time in s, or "never" where it is NaN, infinite or longer than the age of the world.
[[nodiscard]] AnswerRow time_or_never(std::string_view quantity, double seconds, std::string_view verdict = {});

/// An answer in words.
[[nodiscard]] AnswerRow remark(std::string_view quantity, std::string_view verdict);

/// One change of a tube's state.
struct LogEntry {
  double time = 0;  ///< s
  std::string tube{};
  std::string from{};
  std::string to{};
  std::string why{};
};

/// A title with a line beneath it and a blank line before.
[[nodiscard]] std::string heading(std::string_view text);

/// Text wrapped to the page; a line feed begins a new line.
[[nodiscard]] std::string paragraph(std::string_view text);

/// Quantities with their prefixes, limits ("<= 100 mA"), margins ("60 mA, 60 %") and verdicts.
[[nodiscard]] std::string answer_table(const std::vector<AnswerRow>& rows);

/// Changes of state in one unit of time. Of a log longer than `most` (at least 2), the middle is left out
/// and counted.
[[nodiscard]] std::string event_log(const std::vector<LogEntry>& entries, std::size_t most = 60);

/// What a reader may try next: the options worth changing, and what to expect.
[[nodiscard]] std::string what_to_change(const std::vector<std::string>& hints);

/// Puts text on the standard output.
void print(std::string_view text);

}  // namespace gastube::examples
