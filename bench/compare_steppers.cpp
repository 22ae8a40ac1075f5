// SPDX-License-Identifier: MIT
// How fast, and how true? The library's stepping schemes, hand-written closed forms and general-purpose solvers on
// problems P1 to P5.
#include "compare_steppers/report.hpp"
#include "support/command_line.hpp"

#include <algorithm>
#include <cstdio>
#include <string>
#include <vector>

namespace {

struct Options {
  std::vector<std::string> problems{};
  std::string csv{}, picture{};
  bool quick = false, large = false, markdown = false, check = false;
};

std::vector<std::string> names() {
  std::vector<std::string> all{"P5"};
  for (const compare::Problem& problem : compare::problems()) all.push_back(problem.name);
  return all;
}

bool is_wanted(const compare::Problem& problem, const Options& options) {
  const auto& asked = options.problems;
  if (std::find(asked.begin(), asked.end(), problem.name) != asked.end()) return true;
  if (options.large && problem.count > 200) return true;
  const bool by_kind = std::find(asked.begin(), asked.end(), problem.kind) != asked.end();
  const bool short_enough = !options.quick || problem.count <= 10;
  return problem.by_default && short_enough && (by_kind || asked.empty());
}

std::vector<compare::Row> run(const Options& options) {
  const compare::Effort effort = options.quick ? compare::Effort{0.02, 2, 0.1} : compare::Effort{};
  std::vector<compare::Row> rows;
  for (const compare::Problem& problem : compare::problems()) {
    if (!is_wanted(problem, options)) continue;
    const std::vector<compare::Row> more = compare::race_on(problem, effort);
    rows.insert(rows.end(), more.begin(), more.end());
  }
  return rows;
}

}  // namespace

int main(int argc, char** argv) {
  Options options;
  gastube::examples::CommandLine line("compare_steppers",
                                      "Times stepping schemes and other solvers on the same problems.");
  line.option("problem", options.problems, "problem to run, may be given again; without it all but the long ones",
              names());
  line.flag("quick", options.quick, "short measurements, small rings");
  line.flag("large", options.large, "rings of 1,000 and 10,000 tubes as well, which take minutes");
  line.option("csv", options.csv, "file to write the measurements to as well");
  line.option("picture", options.picture, "folder to draw error against time into");
  line.flag("markdown", options.markdown, "prints the tables of README");
  line.flag("check", options.check, "checks the closed forms against another method, and ends");
  if (const auto exit = line.parse(argc, argv)) return *exit;
  if (options.check) return compare::check_closed_forms() ? 0 : 1;

  const std::vector<compare::Row> rows = run(options);
  const std::vector<compare::Goal> goals = compare::goals_of(rows);
  if (options.markdown) {
    compare::print_markdown(rows, goals);
  } else {
    compare::print_tables(rows);
    compare::print_goals(goals);
  }
  bool good = options.csv.empty() || compare::write_csv(rows, options.csv);
  good = (options.picture.empty() || compare::draw(rows, options.picture)) && good;
  return good ? 0 : 1;
}
