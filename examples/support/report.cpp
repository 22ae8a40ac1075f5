// SPDX-License-Identifier: MIT
#include "report.hpp"

#include <gastube/support/math.hpp>

#include "text_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdio>

namespace gastube::examples {
namespace {

std::string_view verdict_on(double margin, std::string_view good, std::string_view bad) {
  if (std::isnan(margin)) { return "unknown"; }
  return margin >= 0 ? good : bad;
}

std::string limit_text(const AnswerRow& row) {
  if (!row.limit) { return {}; }
  return fmt::format("{} {}", row.kind == LimitKind::at_most ? "<=" : ">=", engineering(*row.limit, row.unit));
}

/// The margin, and where it means something, its share of the limit.
std::string margin_text(const AnswerRow& row) {
  if (!row.margin) { return {}; }
  const std::string amount = engineering(*row.margin, row.unit, 3);
  const double share = row.limit && *row.limit != 0 ? *row.margin / std::abs(*row.limit) : std::nan("");
  return std::abs(share) < 10 ? fmt::format("{}, {:.0f} %", amount, 100 * share) : amount;
}

std::vector<std::string> cells_of(const AnswerRow& row) {
  return {row.quantity, row.value ? engineering(*row.value, row.unit) : std::string(), limit_text(row),
          margin_text(row), row.verdict};
}

std::vector<std::string> log_cells(const LogEntry& entry, std::string_view time) {
  return {std::string(time), entry.tube, entry.from, entry.to, entry.why};
}

}  // namespace

AnswerRow fact(std::string_view quantity, double value, std::string_view unit, std::string_view verdict) {
  AnswerRow row;
  row.quantity = quantity;
  row.value = value;
  row.unit = unit;
  row.verdict = verdict;
  return row;
}

AnswerRow at_most(std::string_view quantity, double value, std::string_view unit, double limit) {
  AnswerRow row = fact(quantity, value, unit, verdict_on(limit - value, "within", "exceeded"));
  row.limit = limit;
  row.margin = limit - value;
  return row;
}

AnswerRow within_rating(std::string_view quantity, double value, std::string_view unit, double rating) {
  return is_limited(rating) ? at_most(quantity, value, unit, rating)
                            : fact(quantity, value, unit, "no rating published");
}

AnswerRow at_least(std::string_view quantity, double value, std::string_view unit, double limit) {
  AnswerRow row = fact(quantity, value, unit, verdict_on(value - limit, "enough", "too little"));
  row.limit = limit;
  row.kind = LimitKind::at_least;
  row.margin = value - limit;
  return row;
}

AnswerRow time_or_never(std::string_view quantity, double seconds, std::string_view verdict) {
  return std::abs(seconds) < 1e17 ? fact(quantity, seconds, "s", verdict) : remark(quantity, "never");
}

AnswerRow remark(std::string_view quantity, std::string_view verdict) {
  AnswerRow row;
  row.quantity = quantity;
  row.verdict = verdict;
  return row;
}

std::string heading(std::string_view text) {
  std::string block = "\n";
  std::size_t widest = 0;
  for (const std::string& line : wrapped(text, page_columns)) {
    block += line + '\n';
    widest = std::max(widest, letters_in(line));
  }
  return block + std::string(widest, '=') + '\n';
}

std::string paragraph(std::string_view text) {
  std::string block;
  while (true) {
    const std::size_t end = text.find('\n');
    for (const std::string& line : wrapped(text.substr(0, end), page_columns)) { block += line + '\n'; }
    if (end == std::string_view::npos) { return block; }
    text.remove_prefix(end + 1);
  }
}

std::string answer_table(const std::vector<AnswerRow>& rows) {
  std::vector<std::vector<std::string>> cells;
  cells.reserve(rows.size());
  for (const AnswerRow& row : rows) { cells.push_back(cells_of(row)); }
  return text_table({{"quantity"}, {"value", true}, {"limit", true}, {"margin", true}, {"verdict"}}, cells);
}

std::string event_log(const std::vector<LogEntry>& entries, std::size_t most) {
  if (entries.empty()) { return "no events\n"; }
  std::vector<double> instants;
  instants.reserve(entries.size());
  for (const LogEntry& entry : entries) { instants.push_back(entry.time); }
  const CommonTimes times = common_times(instants);
  const std::size_t shown = std::max<std::size_t>(most, 2);
  const std::size_t kept = entries.size() > shown ? shown / 2 : entries.size();
  std::vector<std::vector<std::string>> rows;
  for (std::size_t index = 0; index < entries.size(); ++index) {
    if (index == kept) {
      index = entries.size() - (shown - kept);
      rows.push_back({"...", "", "", "", fmt::format("{} more changes left out here", entries.size() - shown)});
    }
    rows.push_back(log_cells(entries[index], times.texts[index]));
  }
  return text_table({{fmt::format("time [{}]", times.unit), true}, {"tube"}, {"from"}, {"to"}, {"why"}}, rows);
}

std::string what_to_change(const std::vector<std::string>& hints) {
  std::string block = heading("What to change");
  for (const std::string& hint : hints) { block += paragraph("- " + hint); }
  return block;
}

void print(std::string_view text) {
  std::fwrite(text.data(), 1, text.size(), stdout);
  std::fflush(stdout);
}

}  // namespace gastube::examples
