// SPDX-License-Identifier: MIT
// How true is it? Every comparison of the library with something published: the rows that the tests assert.
#include "fidelity/all_rows.hpp"
#include "support/command_line.hpp"
#include "support/csv.hpp"
#include "support/report.hpp"
#include "support/text_table.hpp"

#include <fmt/core.h>

#include <cstdio>
#include <string>
#include <string_view>
#include <vector>

using namespace gastube;

namespace {

std::string short_number(double value) { return fmt::format("{:.4g}", value); }

const char* relation(published::Kind kind) {
  switch (kind) {
  case published::Kind::value: return "";
  case published::Kind::at_most: return "<= ";
  case published::Kind::at_least: return ">= ";
  }
  return "";
}

std::string published_text(const published::Row& row) {
  return relation(row.kind) + short_number(row.published) + (row.unit[0] ? " " : "") + row.unit;
}

struct Count {
  std::size_t all = 0, inside = 0;
};
Count count_rows() {
  Count count;
  for (const published::Subject& subject : published::subjects)
    for (const published::Row& row : subject.rows) {
      ++count.all;
      count.inside += row.inside() ? 1 : 0;
    }
  return count;
}

template <class Function>
void for_each_row(Function&& f) {
  for (const published::Subject& subject : published::subjects)
    for (const published::Row& row : subject.rows) f(subject, row);
}

void print_text() {
  for (const published::Subject& subject : published::subjects) {
    examples::print(examples::heading(subject.name));
    std::vector<std::vector<std::string>> cells;
    for (const published::Row& row : subject.rows)
      cells.push_back({row.id, row.quantity, row.conditions, short_number(row.predicted()), published_text(row),
                       fmt::format("{:.3g} %", 100 * row.tolerance), row.inside() ? "" : "MISS", row.source});
    examples::print(examples::text_table(
        {{"id"}, {"quantity"}, {"conditions"}, {"predicted", true}, {"published"}, {"+-", true}, {""}, {"source"}},
        cells));
  }
  const Count count = count_rows();
  examples::print(examples::paragraph(fmt::format("{} comparisons, {} inside their tolerance, {} misses.", count.all,
                                                  count.inside, count.all - count.inside)));
}

/// The table as it stands in DEVELOPERS.md.
void print_markdown() {
  for (const published::Subject& subject : published::subjects) {
    fmt::print("\n**{}**\n\n", subject.name);
    fmt::print("| id | quantity | conditions | predicted | published | tolerance | inside | source | confidence |\n");
    fmt::print("|---|---|---|---|---|---|---|---|---|\n");
    for (const published::Row& row : subject.rows)
      fmt::print("| {} | {} | {} | {} | {} | {:.3g} % | {} | {} | {} |\n", row.id, row.quantity, row.conditions,
                 short_number(row.predicted()), published_text(row), 100 * row.tolerance, row.inside() ? "yes" : "no",
                 row.source, name(row.confidence));
  }
}

int write_csv(const std::string& path) {
  examples::CsvTable table;
  for (const char* column : {"id", "subject", "quantity", "conditions", "unit", "kind", "predicted", "published",
                             "tolerance", "inside", "source", "confidence"})
    table.cell(std::string_view(column));
  table.end_row();
  for_each_row([&](const published::Subject& subject, const published::Row& row) {
    for (const char* text : {row.id, subject.name, row.quantity, row.conditions, row.unit})
      table.cell(std::string_view(text));
    table.cell(std::string_view(row.kind == published::Kind::value     ? "value"
                                : row.kind == published::Kind::at_most ? "at most"
                                                                       : "at least"));
    table.cell(row.predicted());
    table.cell(row.published);
    table.cell(row.tolerance);
    table.cell(std::string_view(row.inside() ? "yes" : "no"));
    table.cell(std::string_view(row.source));
    table.cell(std::string_view(name(row.confidence)));
    table.end_row();
  });
  const auto result = table.save(path);
  if (!result.written) std::fprintf(stderr, "fidelity: %s\n", result.message.c_str());
  return result.written ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  std::string csv;
  bool markdown = false;
  examples::CommandLine line("fidelity", "Compares the library with published values, misses included.");
  line.option("csv", csv, "file to write the comparisons to, instead of the screen");
  line.flag("markdown", markdown, "prints the table of DEVELOPERS.md");
  if (const auto exit = line.parse(argc, argv)) return *exit;
  if (!csv.empty()) return write_csv(csv);
  if (markdown)
    print_markdown();
  else
    print_text();
  return 0;
}
