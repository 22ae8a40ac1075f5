// SPDX-License-Identifier: MIT
#pragma once
// Numbers with units as people write them: 12.34 mA, 4.7 kohm, 35 us. Plain ASCII, so 'u' is micro.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace gastube::examples {

/// Whether a unit is written with engineering prefixes: V, A, s, ohm... are, a plain number, %, degC or K are not.
[[nodiscard]] bool takes_prefix(std::string_view unit);

/// What to multiply an SI value by, and the unit the product is in.
struct Scale {
  double factor = 1;
  std::string unit{};
};

/// The scale in which `magnitude` reads as 1 to 999; factor 1 for zero, for non-finite values and for units without
/// prefixes.
[[nodiscard]] Scale engineering_scale(double magnitude, std::string_view unit);

/// `value` (SI) rounded to `significant` digits, with a prefix from f to T, trailing zeros dropped: "12.34 mA", "0 V",
/// "nan V". Digits before the decimal point are never dropped from a unit without prefixes: 12345.6 reads "12346".
[[nodiscard]] std::string engineering(double value, std::string_view unit, int significant = 4);

/// Instants in one unit, with the decimals it takes to tell neighbours apart.
struct CommonTimes {
  std::string unit{};
  std::vector<std::string> texts{};
};

/// `times` in seconds; the unit suits the greatest of them.
[[nodiscard]] CommonTimes common_times(const std::vector<double>& times);

/// Reads "330", "4.7k", "-100n", "0.22 uF", "1e-3"; the unit and one space before the suffix may be left out.
/// Nothing comes back for junk, for infinities and for numbers out of range. A suffix is one of f p n u m k M G T.
[[nodiscard]] std::optional<double> parse_quantity(std::string_view text, std::string_view unit = {});

}  // namespace gastube::examples
