// SPDX-License-Identifier: MIT
#include "quantity.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstdlib>
#include <iterator>

namespace gastube::examples {
namespace {

constexpr int smallest_exponent = -15;
constexpr int largest_exponent = 12;
constexpr std::array<std::string_view, 10> prefixes{"f", "p", "n", "u", "m", "", "k", "M", "G", "T"};

std::string_view prefix_of(int exponent) {
  return prefixes[static_cast<std::size_t>((exponent - smallest_exponent) / 3)];
}

int down_to_multiple_of_three(int exponent) { return exponent - ((exponent % 3) + 3) % 3; }

struct Rounded {
  double mantissa;  // 1 to 9.99..., with its sign
  int exponent;     // of ten
};

/// Rounds in decimal, so that 999.95 becomes 1.000e3 and takes the next prefix.
Rounded round_to(double value, int significant) {
  const std::string text = fmt::format("{:.{}e}", value, significant - 1);
  const std::size_t mark = text.find('e');
  return {std::strtod(text.substr(0, mark).c_str(), nullptr), std::atoi(text.c_str() + mark + 1)};
}

std::string without_trailing_zeros(std::string text) {
  if (text.find('.') == std::string::npos) { return text; }
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') { text.pop_back(); }
  return text;
}

std::string with_unit(std::string number, std::string_view prefix, std::string_view unit) {
  return unit.empty() ? number : fmt::format("{} {}{}", number, prefix, unit);
}

std::string scientific(const Rounded& rounded, int significant) {
  return fmt::format("{}e{}", without_trailing_zeros(fmt::format("{:.{}f}", rounded.mantissa, significant - 1)),
                     rounded.exponent);
}

std::string plain(double value, std::string_view unit, int significant) {
  const Rounded rounded = round_to(value, significant);
  if (rounded.exponent < -4 || rounded.exponent > 7) { return with_unit(scientific(rounded, significant), "", unit); }
  const int decimals = std::max(0, significant - 1 - rounded.exponent);
  return with_unit(without_trailing_zeros(fmt::format("{:.{}f}", value, decimals)), "", unit);
}

std::string prefixed(double value, std::string_view unit, int significant) {
  const Rounded rounded = round_to(value, significant);
  const int group = down_to_multiple_of_three(rounded.exponent);
  if (group < smallest_exponent || group > largest_exponent) {
    return with_unit(scientific(rounded, significant), "", unit);
  }
  const int places = rounded.exponent - group;
  const double shown = rounded.mantissa * std::pow(10.0, places);
  return with_unit(without_trailing_zeros(fmt::format("{:.{}f}", shown, std::max(0, significant - 1 - places))),
                   prefix_of(group), unit);
}

std::vector<std::string> with_decimals(const std::vector<double>& values, int decimals) {
  std::vector<std::string> texts;
  std::transform(values.begin(), values.end(), std::back_inserter(texts),
                 [&](double value) { return fmt::format("{:.{}f}", value, decimals); });
  return texts;
}

/// Whether neighbours that differ also read differently.
bool tells_apart(const std::vector<double>& values, const std::vector<std::string>& texts) {
  for (std::size_t index = 1; index < values.size(); ++index) {
    if (values[index] != values[index - 1] && texts[index] == texts[index - 1]) { return false; }
  }
  return true;
}

std::optional<int> exponent_of(std::string_view suffix) {
  if (suffix == "\u00b5" || suffix == "\u03bc") {  // the micro sign and the Greek letter
    return -6;
  }
  const auto found = std::find(prefixes.begin(), prefixes.end(), suffix);
  if (found == prefixes.end()) { return std::nullopt; }
  return smallest_exponent + 3 * static_cast<int>(found - prefixes.begin());
}

std::optional<double> finite_number(std::string_view text) {
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  const bool read_all = error == std::errc{} && end == text.data() + text.size();
  return read_all && std::isfinite(value) ? std::optional<double>(value) : std::nullopt;
}

std::string_view without_unit(std::string_view suffix, std::string_view unit) {
  const bool carries_unit =
      !unit.empty() && suffix.size() >= unit.size() && suffix.substr(suffix.size() - unit.size()) == unit;
  return carries_unit ? suffix.substr(0, suffix.size() - unit.size()) : suffix;
}

/// The suffix goes into the text as an exponent, so that 0.22u is exactly the double nearest to 0.22e-6.
std::optional<double> scaled_number(std::string_view number, int exponent) {
  if (exponent == 0) { return finite_number(number); }
  if (number.find_first_of("eE") == std::string_view::npos) {
    return finite_number(fmt::format("{}e{}", number, exponent));
  }
  const std::optional<double> value = finite_number(number);
  const double product = value ? *value * std::pow(10.0, exponent) : 0.0;
  return value && std::isfinite(product) ? std::optional<double>(product) : std::nullopt;
}

}  // namespace

bool takes_prefix(std::string_view unit) {
  constexpr std::array<std::string_view, 9> bare{"", "1", "%", "degC", "K", "dB", "deg", "rad", "kg"};
  return std::find(bare.begin(), bare.end(), unit) == bare.end();
}

Scale engineering_scale(double magnitude, std::string_view unit) {
  if (magnitude == 0 || !std::isfinite(magnitude) || !takes_prefix(unit)) { return {1.0, std::string(unit)}; }
  const int exponent = down_to_multiple_of_three(round_to(magnitude, 4).exponent);
  const int group = std::clamp(exponent, smallest_exponent, largest_exponent);
  return {std::pow(10.0, -group), fmt::format("{}{}", prefix_of(group), unit)};
}

std::string engineering(double value, std::string_view unit, int significant) {
  if (!std::isfinite(value)) { return with_unit(std::isnan(value) ? "nan" : (value > 0 ? "inf" : "-inf"), "", unit); }
  if (value == 0) { return with_unit("0", "", unit); }
  const int digits = std::clamp(significant, 1, 17);
  return takes_prefix(unit) ? prefixed(value, unit, digits) : plain(value, unit, digits);
}

CommonTimes common_times(const std::vector<double>& times) {
  const auto by_size = [](double a, double b) { return std::abs(a) < std::abs(b); };
  const auto greatest = std::max_element(times.begin(), times.end(), by_size);
  const Scale scale = engineering_scale(greatest == times.end() ? 0.0 : *greatest, "s");
  std::vector<double> scaled(times);
  std::for_each(scaled.begin(), scaled.end(), [&](double& time) { time *= scale.factor; });
  constexpr int most_decimals = 9;
  int decimals = 2;
  while (decimals < most_decimals && !tells_apart(scaled, with_decimals(scaled, decimals))) { ++decimals; }
  return {scale.unit, with_decimals(scaled, decimals)};
}

std::optional<double> parse_quantity(std::string_view text, std::string_view unit) {
  if (text.starts_with('+') && !text.starts_with("+-")) { text.remove_prefix(1); }
  double ignored = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), ignored);
  if (error == std::errc::invalid_argument) { return std::nullopt; }
  const std::string_view number = text.substr(0, static_cast<std::size_t>(end - text.data()));
  std::string_view suffix = text.substr(number.size());
  if (suffix.size() > 1 && suffix.front() == ' ') { suffix.remove_prefix(1); }
  const std::optional<int> exponent = exponent_of(without_unit(suffix, unit));
  return exponent ? scaled_number(number, *exponent) : std::nullopt;
}

}  // namespace gastube::examples
