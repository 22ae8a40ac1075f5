// SPDX-License-Identifier: MIT
#include "command_line.hpp"

#include "quantity.hpp"
#include "text_table.hpp"

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <functional>

namespace gastube::examples {
namespace {

std::string range_text(const Range& range, std::string_view unit) {
  return fmt::format("{} to {}", engineering(range.least, unit, 6), engineering(range.most, unit, 6));
}

/// The number in the text, or an error that names the option, the text and the range.
double number_within(const std::string& option, const std::string& text, std::string_view unit, const Range& range) {
  const std::optional<double> number = parse_quantity(text, unit);
  if (!number) {
    throw CLI::ValidationError(option, fmt::format("'{}' is not a number{}; written as in 330, 4.7k, 0.22u", text,
                                                   unit.empty() ? "" : fmt::format(" of {}", unit)));
  }
  if (*number < range.least || *number > range.most) {
    throw CLI::ValidationError(option,
                               fmt::format("{} is outside {}", engineering(*number, unit, 6), range_text(range, unit)));
  }
  return *number;
}

int whole_number_within(const std::string& option, const std::string& text, const Range& range) {
  const double number = number_within(option, text, "", range);
  if (number != std::floor(number) || std::abs(number) > 2147483647.0) {
    throw CLI::ValidationError(option, fmt::format("{} is not a whole number", text));
  }
  return static_cast<int>(number);
}

/// By semicolons where a choice has a comma of its own.
std::string listed(const std::vector<std::string>& choices) {
  const bool commas = std::any_of(choices.begin(), choices.end(),
                                  [](const std::string& one) { return one.find(',') != std::string::npos; });
  return fmt::format("{}", fmt::join(choices, commas ? "; " : ", "));
}

void refuse_others(const std::string& option, const std::string& text, const std::vector<std::string>& choices) {
  if (!choices.empty() && std::find(choices.begin(), choices.end(), text) == choices.end())
    throw CLI::ValidationError(option, fmt::format("'{}' is none of {}", text, listed(choices)));
}

using HelpRow = std::vector<std::string>;

std::string help_text(std::string_view name, std::string_view description, const std::vector<HelpRow>& rows) {
  const std::string title = fmt::format("{}: {}", name, description);
  return fmt::format("{}\n\n{}", fmt::join(wrapped(title, page_columns), "\n"),
                     text_table({{"option"}, {"default", true}, {"meaning"}}, rows));
}

}  // namespace

struct CommandLine::Parser {
  Parser(std::string_view program, std::string_view about) : name(program), description(about), app(description, name) {
    app.set_help_flag("-h,--help");
    app.allow_windows_style_options(false);
  }

  void add(std::string_view option, const std::function<void(const std::string&)>& take) {
    app.add_option_function<std::string>("--" + std::string(option), take)
        ->type_name("value")
        ->allow_extra_args(false)
        ->expected(1);
  }

  void describe(std::string_view option, std::string standard, std::string help) {
    rows.push_back({"  --" + std::string(option), std::move(standard), std::move(help)});
  }

  int finish(std::FILE* stream, int code) const {
    std::fwrite(message.data(), 1, message.size(), stream);
    return code;
  }

  std::string name;
  std::string description;
  CLI::App app;
  std::vector<HelpRow> rows{};
  std::string message{};
};

CommandLine::CommandLine(std::string_view name, std::string_view description)
    : parser_(std::make_unique<Parser>(name, description)) {}

CommandLine::~CommandLine() = default;

void CommandLine::group(std::string_view title) { parser_->rows.push_back({std::string(title), "", ""}); }

void CommandLine::option(std::string_view name, double& value, std::string_view unit, std::string_view help,
                         Range range) {
  const std::string shown = "--" + std::string(name);
  parser_->add(name, [shown, &value, held_unit = std::string(unit), range](const std::string& text) {
    value = number_within(shown, text, held_unit, range);
  });
  parser_->describe(name, engineering(value, unit, 6), fmt::format("{}; {}", help, range_text(range, unit)));
}

void CommandLine::option(std::string_view name, int& value, std::string_view help, Range range) {
  const std::string shown = "--" + std::string(name);
  parser_->add(name,
               [shown, &value, range](const std::string& text) { value = whole_number_within(shown, text, range); });
  parser_->describe(name, std::to_string(value), fmt::format("{}; {}", help, range_text(range, "")));
}

void CommandLine::option(std::string_view name, std::string& value, std::string_view help,
                         const std::vector<std::string>& choices) {
  const std::string shown = "--" + std::string(name);
  parser_->add(name, [shown, &value, choices](const std::string& text) {
    refuse_others(shown, text, choices);
    value = text;
  });
  parser_->describe(name, value,
                    choices.empty() ? std::string(help) : fmt::format("{}; one of {}", help, listed(choices)));
}

void CommandLine::option(std::string_view name, std::vector<std::string>& values, std::string_view help,
                         const std::vector<std::string>& choices) {
  const std::string shown = "--" + std::string(name);
  const auto take = [shown, &values, choices](const std::string& text) {
    refuse_others(shown, text, choices);
    values.push_back(text);
  };
  parser_->app.add_option_function<std::string>(shown, take)->type_name("value")->trigger_on_parse();
  parser_->describe(name, fmt::format("{}", fmt::join(values, ", ")),
                    fmt::format("{}; each one of {}", help, listed(choices)));
}

void CommandLine::flag(std::string_view name, bool& value, std::string_view help) {
  parser_->app.add_flag_callback("--" + std::string(name), [&value] { value = true; });
  parser_->describe(name, "", std::string(help));
}

std::optional<int> CommandLine::parse(int argument_count, const char* const* arguments) {
  parser_->message.clear();
  try {
    parser_->app.parse(argument_count, arguments);
  } catch (const CLI::CallForHelp&) {
    parser_->rows.push_back({"  --help", "", "prints this list and ends"});
    parser_->message = help_text(parser_->name, parser_->description, parser_->rows);
    return parser_->finish(stdout, 0);
  } catch (const CLI::ParseError& error) {
    parser_->message = fmt::format("{}: {}\n(--help lists the options)\n", parser_->name, error.what());
    return parser_->finish(stderr, 2);
  }
  return std::nullopt;
}

const std::string& CommandLine::message() const { return parser_->message; }

}  // namespace gastube::examples
