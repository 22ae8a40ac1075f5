// SPDX-License-Identifier: MIT
#pragma once
// The command line of an example: options with units, ranges and defaults, and messages that say what is wrong.

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace gastube::examples {

/// Where a number is refused below and above.
struct Range {
  double least = 0;
  double most = 0;
};

/// Options are written --name value or --name=value. Numbers take SI suffixes and the unit: 330, 4.7k, 0.22uF, "100 n".
/// A variable keeps its value, shown as the default, unless its option is given. The variables must outlive `parse`.
class CommandLine {
 public:
  CommandLine(std::string_view name, std::string_view description);
  CommandLine(const CommandLine&) = delete;
  CommandLine& operator=(const CommandLine&) = delete;
  ~CommandLine();

  /// A heading in the help for the options that follow.
  void group(std::string_view title);

  /// A quantity in SI units.
  void option(std::string_view name, double& value, std::string_view unit, std::string_view help, Range range);
  /// A whole number.
  void option(std::string_view name, int& value, std::string_view help, Range range);
  /// A text; one of `choices` unless that is empty.
  void option(std::string_view name, std::string& value, std::string_view help,
              const std::vector<std::string>& choices = {});
  /// Texts, one each time the option is given, each one of `choices`.
  void option(std::string_view name, std::vector<std::string>& values, std::string_view help,
              const std::vector<std::string>& choices);
  /// A switch, off unless given.
  void flag(std::string_view name, bool& value, std::string_view help);

  /// Reads the arguments. Nothing comes back when the program is to go on, else the exit code it is to end with: 0
  /// after
  /// --help, 2 after an error. Help goes to the standard output, errors to the standard error.
  [[nodiscard]] std::optional<int> parse(int argument_count, const char* const* arguments);

  /// What the last `parse` printed.
  [[nodiscard]] const std::string& message() const;

 private:
  struct Parser;
  std::unique_ptr<Parser> parser_;
};

}  // namespace gastube::examples
