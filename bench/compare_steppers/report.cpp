// SPDX-License-Identifier: MIT
#include "report.hpp"

#include "support/csv.hpp"
#include "support/report.hpp"
#include "support/text_table.hpp"

#include <fmt/core.h>

#include <cmath>
#include <cstdio>
#include <string_view>

namespace compare {

namespace {

namespace examples = gastube::examples;

std::string number(double value, const char* missing = "-") {
  return std::isnan(value) ? missing : fmt::format("{:.3g}", value);
}
std::string error(double value) { return std::isnan(value) ? "-" : value == 0 ? "0" : fmt::format("{:.1e}", value); }
std::string tolerance(const Row& row) { return row.tolerance > 0 ? fmt::format("{:.0e}", row.tolerance) : ""; }
std::string events(const Row& row) {
  return row.events == row.expected ? fmt::format("{}", row.events) : fmt::format("{} of {}", row.events, row.expected);
}
/// As a multiple of the closed form's time.
double ratio(const Row& row, const std::vector<Row>& rows) {
  for (const Row& other : rows)
    if (other.problem == row.problem && other.method == "closed form") return row.seconds / other.seconds;
  return unknown;
}

/// By how much the cost of an event grows from one ring to the next larger, as a power of their tubes.
struct Growth {
  std::string method, tolerance;
  std::size_t from, to;
  double power;
};
std::vector<Growth> growths(const std::vector<Row>& rows) {
  std::vector<Growth> all;
  for (const Row& row : rows) {
    const Row* next = nullptr;
    for (const Row& other : rows)
      if (other.tubes > row.tubes && row.tubes > 0 && other.method == row.method && other.tolerance == row.tolerance
          && (!next || other.tubes < next->tubes))
        next = &other;
    if (!next || std::isnan(row.per_event()) || std::isnan(next->per_event())) continue;
    const double power =
        std::log(next->per_event() / row.per_event()) / std::log(double(next->tubes) / double(row.tubes));
    all.push_back({row.method, tolerance(row), row.tubes, next->tubes, power});
  }
  return all;
}

template <class Function>
void for_each_problem(const std::vector<Row>& rows, Function&& f) {
  std::string last;
  for (const Row& row : rows)
    if (row.problem != last) f(last = row.problem);
}

std::string goal_reached(const Goal& goal) { return goal.measured() ? number(goal.reached) : "not measured"; }
std::string goal_verdict(const Goal& goal) { return !goal.measured() ? "" : goal.met() ? "yes" : "no"; }
std::string goal_wanted(const Goal& goal) { return fmt::format("{} {:.3g}", goal.at_least ? ">=" : "<=", goal.wanted); }

}  // namespace

void print_tables(const std::vector<Row>& rows) {
  for_each_problem(rows, [&](const std::string& problem) {
    examples::print(examples::heading(problem));
    std::vector<std::vector<std::string>> cells;
    for (const Row& row : rows) {
      if (row.problem != problem) continue;
      cells.push_back({row.method, tolerance(row), number(row.seconds), number(row.per_event() * 1e6),
                       number(ratio(row, rows)), row.failure.empty() ? events(row) : "failed", error(row.worst),
                       error(row.phase), fmt::format("{}", row.steps), fmt::format("{}", row.solves),
                       number(row.bytes_per_tube())});
    }
    examples::print(examples::text_table({{"method"},
                                          {"tol.", true},
                                          {"s", true},
                                          {"us/event", true},
                                          {"x closed", true},
                                          {"events", true},
                                          {"worst, s", true},
                                          {"phase, s", true},
                                          {"steps", true},
                                          {"solves", true},
                                          {"bytes/tube", true}},
                                         cells));
    for (const Row& row : rows)
      if (row.problem == problem && !row.failure.empty())
        examples::print(examples::paragraph(fmt::format("{} {}: {}", row.method, tolerance(row), row.failure)));
  });
  std::vector<std::vector<std::string>> cells;
  for (const Growth& growth : growths(rows))
    cells.push_back({growth.method, growth.tolerance, fmt::format("{}", growth.from), fmt::format("{}", growth.to),
                     number(growth.power)});
  if (cells.empty()) return;
  examples::print(examples::heading("an event's cost in rings, by powers of the number of tubes"));
  examples::print(
      examples::text_table({{"method"}, {"tol.", true}, {"from", true}, {"to", true}, {"power", true}}, cells));
}

void print_goals(const std::vector<Goal>& goals) {
  if (goals.empty()) return;
  examples::print(examples::heading("goals"));
  std::vector<std::vector<std::string>> cells;
  for (const Goal& goal : goals)
    cells.push_back({goal.problem, goal.what, goal_wanted(goal), goal_reached(goal), goal_verdict(goal)});
  examples::print(examples::text_table({{"problem"}, {"goal"}, {"wanted", true}, {"reached", true}, {"met"}}, cells));
}

void print_markdown(const std::vector<Row>& rows, const std::vector<Goal>& goals) {
  fmt::print(
      "| problem | method | tolerance | seconds | us/event | x closed form | events | worst event, s | phase, s | "
      "steps | solves | bytes a tube |\n|---|---|---|---|---|---|---|---|---|---|---|---|\n");
  for (const Row& row : rows)
    fmt::print("| {} | {} | {} | {} | {} | {} | {} | {} | {} | {} | {} | {} |\n", row.problem, row.method,
               tolerance(row), number(row.seconds), number(row.per_event() * 1e6), number(ratio(row, rows)),
               row.failure.empty() ? events(row) : "failed", error(row.worst), error(row.phase), row.steps, row.solves,
               number(row.bytes_per_tube()));
  const std::vector<Growth> powers = growths(rows);
  if (!powers.empty()) fmt::print("\n| method | tolerance | tubes | power of their number |\n|---|---|---|---|\n");
  for (const Growth& growth : powers)
    fmt::print("| {} | {} | {} to {} | {} |\n", growth.method, growth.tolerance, growth.from, growth.to,
               number(growth.power));
  if (goals.empty()) return;
  fmt::print("\n| problem | goal | wanted | reached | met |\n|---|---|---|---|---|\n");
  for (const Goal& goal : goals)
    fmt::print("| {} | {} | {} | {} | {} |\n", goal.problem, goal.what, goal_wanted(goal), goal_reached(goal),
               goal_verdict(goal));
}

bool write_csv(const std::vector<Row>& rows, const std::string& path) {
  examples::CsvTable table;
  for (const char* column : {"problem", "method", "tolerance", "seconds", "events", "expected_events",
                             "worst_event_error", "phase_error", "steps", "solves"})
    table.cell(std::string_view(column));
  table.end_row();
  const auto value = [&](double number, bool known) { known ? table.cell(number) : table.empty_cell(); };
  for (const Row& row : rows) {
    table.cell(std::string_view(row.problem));
    table.cell(std::string_view(row.method));
    value(row.tolerance, row.tolerance > 0);
    value(row.seconds, !std::isnan(row.seconds));
    table.cell(double(row.events));
    table.cell(double(row.expected));
    value(row.worst, !std::isnan(row.worst));
    value(row.phase, !std::isnan(row.phase));
    table.cell(double(row.steps));
    table.cell(double(row.solves));
    table.end_row();
  }
  const auto result = table.save(path);
  if (!result.written) std::fprintf(stderr, "compare_steppers: %s\n", result.message.c_str());
  return result.written;
}

}  // namespace compare
