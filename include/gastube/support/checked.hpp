// SPDX-License-Identifier: MIT
#pragma once
/// Parameters are checked where they are given: an error names the part, the field, the value and the allowed range.

#include "gastube/support/real.hpp"

#include <cstddef>
#include <cstdio>
#include <cstdlib>
#include <limits>
#include <stdexcept>
#include <string_view>

namespace gastube {

namespace detail {
/// The text of a refusal, put together in place: std::string's operators would cost every user compile time.
class RefusalText {
 public:
  RefusalText& operator<<(const char* more) noexcept {
    while (*more != '\0' && size_ + 1 < sizeof text_) text_[size_++] = *more++;
    text_[size_] = '\0';
    return *this;
  }
  /// Shortest decimal text, of six digits or more, that reads back as the same number.
  RefusalText& operator<<(double value) noexcept {
    char number[32];
    for (int digits = 6; digits <= 17; ++digits) {
      std::snprintf(number, sizeof number, "%.*g", digits, value);
      if (std::strtod(number, nullptr) == value) break;
    }
    return *this << number;
  }
  RefusalText& unit(const char* unit) noexcept { return *unit == '\0' ? *this : *this << " " << unit; }

  [[nodiscard]] const char* text() const noexcept { return text_; }
  [[nodiscard]] std::size_t size() const noexcept { return size_; }

 private:
  std::size_t size_ = 0;
  char text_[400] = {};  // longer ones are cut off
};
}  // namespace detail

/// A parameter outside its range. The text reads "resistor: resistance = -5 ohm, allowed: above 0 ohm".
class InvalidParameter : public std::invalid_argument {
 public:
  InvalidParameter(const char* part, const char* field, double value, const char* unit, const char* range)
      : InvalidParameter(Layout(part, field, value, unit, range), value) {}

  [[nodiscard]] std::string_view part() const noexcept { return {what(), part_end_}; }
  [[nodiscard]] std::string_view field() const noexcept { return {what() + field_, field_end_ - field_}; }
  [[nodiscard]] std::string_view range() const noexcept { return what() + range_; }
  [[nodiscard]] double value() const noexcept { return value_; }

 private:
  // The error keeps one text, and where in it the single statements are.
  struct Layout {
    detail::RefusalText all;
    std::size_t part_end = 0, field = 0, field_end = 0, range = 0;

    Layout(const char* part_text, const char* field_text, double value, const char* unit, const char* range_text) {
      part_end = (all << part_text).size();
      field = (all << ": ").size();
      field_end = (all << field_text).size();
      range = ((all << " = " << value).unit(unit) << ", allowed: ").size();
      all << range_text;
    }
  };
  InvalidParameter(const Layout& layout, double value)
      : std::invalid_argument(layout.all.text())
      , part_end_(layout.part_end)
      , field_(layout.field)
      , field_end_(layout.field_end)
      , range_(layout.range)
      , value_(value) {}

  std::size_t part_end_, field_, field_end_, range_;
  double value_;
};

/// Circuit or request that cannot be used as given: wiring, impossible combinations. The text says what and where.
class InvalidRequest : public std::invalid_argument {
 public:
  using std::invalid_argument::invalid_argument;
};

namespace detail {
template <class Error>
[[noreturn]] inline void raise(const Error& error) {
#if defined(__cpp_exceptions)
  throw error;
#else
  std::fputs(error.what(), stderr);
  std::fputc('\n', stderr);
  std::abort();
#endif
}
}  // namespace detail

/// Checks the fields of one part; each call refuses a value outside its range and any NaN or infinity.
class Check {
 public:
  explicit constexpr Check(const char* part) : part_(part) {}

  template <Real S>
  constexpr const Check& above(const char* field, const S& value, double low, const char* unit) const {
    const double v = double(value_of(value));
    return require(v > low, field, v, unit, "above ", low);
  }
  template <Real S>
  constexpr const Check& at_least(const char* field, const S& value, double low, const char* unit) const {
    const double v = double(value_of(value));
    return require(v >= low, field, v, unit, "at least ", low);
  }
  template <Real S>
  constexpr const Check& at_most(const char* field, const S& value, double high, const char* unit) const {
    const double v = double(value_of(value));
    return require(v <= high, field, v, unit, "at most ", high);
  }
  template <Real S>
  constexpr const Check& between(const char* field, const S& value, double low, double high, const char* unit) const {
    const double v = double(value_of(value));
    if (!(v >= low && v <= high)) [[unlikely]]
      refuse_span(field, v, low, high, unit);
    return *this;
  }
  template <Real S>
  constexpr const Check& finite(const char* field, const S& value, const char* unit) const {
    const double v = double(value_of(value));
    if (!is_finite(v)) [[unlikely]]
      refuse(field, v, unit, "a finite number");
    return *this;
  }
  /// Refuses in the caller's own words, for rules that tie several fields together.
  template <Real S>
  constexpr const Check& that(bool holds, const char* field, const S& value, const char* unit, const char* rule) const {
    if (!holds) [[unlikely]]
      refuse(field, double(value_of(value)), unit, rule);
    return *this;
  }

 private:
  static constexpr bool is_finite(double v) {
    return v <= std::numeric_limits<double>::max() && v >= std::numeric_limits<double>::lowest();
  }
  constexpr const Check& require(bool holds, const char* field, double value, const char* unit, const char* relation,
                                 double limit) const {
    if (!holds || !is_finite(value)) [[unlikely]]
      refuse_limit(field, value, unit, relation, limit);
    return *this;
  }
  [[noreturn]] void refuse_limit(const char* field, double value, const char* unit, const char* relation,
                                 double limit) const {
    refuse(field, value, unit, (detail::RefusalText() << relation << limit).unit(unit).text());
  }
  [[noreturn]] void refuse_span(const char* field, double value, double low, double high, const char* unit) const {
    refuse(field, value, unit, (detail::RefusalText() << low << " to " << high).unit(unit).text());
  }
  [[noreturn]] void refuse(const char* field, double value, const char* unit, const char* range) const {
    detail::raise(InvalidParameter(part_, field, value, unit, range));
  }

  const char* part_;
};

}  // namespace gastube
