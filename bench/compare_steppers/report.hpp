// SPDX-License-Identifier: MIT
#pragma once
/// What the comparison prints, writes and draws.

#include "goals.hpp"
#include "measure.hpp"

#include <string>
#include <vector>

namespace compare {

void print_tables(const std::vector<Row>& rows);
void print_goals(const std::vector<Goal>& goals);
/// The same for README.
void print_markdown(const std::vector<Row>& rows, const std::vector<Goal>& goals);
/// False, with a message on the standard error, if it could not be written.
[[nodiscard]] bool write_csv(const std::vector<Row>& rows, const std::string& path);
/// Error against time, a panel a problem, into work_precision.png of a folder. False with a message if not drawn.
[[nodiscard]] bool draw(const std::vector<Row>& rows, const std::string& folder);
/// Solves the right-hand sides over short times by another method altogether, in long double, and compares events with
/// those of the closed forms. False if any is off.
[[nodiscard]] bool check_closed_forms();

}  // namespace compare
