// SPDX-License-Identifier: MIT
#pragma once
/// Numbers with units as people write them, for data sheets and refusals: "12.3 mA", "75 us", "250". Plain ASCII.

#include <array>
#include <cmath>
#include <cstddef>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <string_view>

namespace gastube::adapt {

namespace detail {
/// A line put together as by printf.
template <class... Values>
[[nodiscard]] std::string text(const char* format, Values... values) {
  std::array<char, 600> line{};  // longer ones are cut off
  std::snprintf(line.data(), line.size(), format, values...);
  return line.data();
}

struct Prefix {
  double factor;
  const char* letter;
};
inline constexpr std::array prefixes{Prefix{1e12, "T"},  Prefix{1e9, "G"},  Prefix{1e6, "M"},  Prefix{1e3, "k"},
                                     Prefix{1.0, ""},    Prefix{1e-3, "m"}, Prefix{1e-6, "u"}, Prefix{1e-9, "n"},
                                     Prefix{1e-12, "p"}, Prefix{1e-15, "f"}};

/// `value` rounded to a number of significant digits.
[[nodiscard]] inline double rounded(double value, int digits) {
  if (value == 0 || !std::isfinite(value)) return value;
  std::array<char, 40> line{};
  std::snprintf(line.data(), line.size(), "%.*e", digits - 1, value);
  return std::strtod(line.data(), nullptr);
}
}  // namespace detail

/// Whether a unit is written with engineering prefixes; temperatures and plain numbers are not.
[[nodiscard]] inline bool takes_prefix(std::string_view unit) {
  return !unit.empty() && unit != "K" && unit != "%" && !unit.starts_with("deg");
}

/// `value` in SI units, rounded, with an engineering prefix from f to T where the unit takes one.
/// @param digits significant ones, 1 to 9; a number without a prefix keeps all its digits before the point
[[nodiscard]] inline std::string quantity_text(double value, std::string_view unit, int digits = 3) {
  const double round = detail::rounded(value, digits), size = std::abs(round);
  detail::Prefix prefix{1.0, ""};
  if (takes_prefix(unit) && size > 0 && std::isfinite(size)) {
    prefix = detail::prefixes.back();
    for (std::size_t k = detail::prefixes.size(); k-- > 0;)
      if (size >= detail::prefixes[k].factor * (1 - 1e-9)) prefix = detail::prefixes[k];
  }
  const double shown = detail::rounded(round / prefix.factor, digits);
  const bool long_whole = std::abs(shown) >= 1e4 && std::abs(shown) < 1e15;
  std::string result = long_whole ? detail::text("%.0f", shown) : detail::text("%.*g", digits < 4 ? 4 : digits, shown);
  if (!unit.empty()) result.append(" ").append(prefix.letter).append(unit);
  return result;
}

}  // namespace gastube::adapt
