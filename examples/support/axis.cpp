// SPDX-License-Identifier: MIT
#include "axis.hpp"

#include "quantity.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace gastube::examples {
namespace {

/// 1, 2 or 5 times a power of ten, the nearest to the wanted spacing by ratio.
double round_step(double spacing) {
  const double decade = std::pow(10.0, std::floor(std::log10(spacing)));
  const double share = spacing / decade;
  if (share < std::sqrt(2.0)) { return decade; }
  return decade * (share < std::sqrt(10.0) ? 2.0 : (share < std::sqrt(50.0) ? 5.0 : 10.0));
}

std::string tick_label(double at, double step) {
  const double value = std::abs(at) < step * 1e-6 ? 0.0 : at;
  if (std::abs(value) >= 1e6 || step < 1e-4) { return fmt::format("{:.6g}", value); }
  const int decimals = std::max(0, static_cast<int>(std::ceil(-std::log10(step) - 1e-9)));
  return fmt::format("{:.{}f}", value, decimals);
}

std::vector<double> multiples(double step, double from, double to) {
  std::vector<double> values;
  const double slack = step * 1e-6;
  const double first = std::ceil((from - slack) / step);
  const int further = static_cast<int>(std::floor((to + slack) / step - first));
  for (int index = 0; index <= further; ++index) { values.push_back((first + index) * step); }
  return values;
}

std::string decade_label(double at, std::string_view unit) {
  if (takes_prefix(unit)) { return engineering(at, unit, 3); }
  if (at > 0.00099 && at < 1e5) { return fmt::format("{:g}", at); }
  const int exponent = static_cast<int>(std::floor(std::log10(at) + 1e-9));
  return fmt::format("{:.0f}e{}", at / std::pow(10.0, exponent), exponent);
}

/// Labels at 1 2 5 where there are fewer than three decades, else at every decade while there is room.
bool is_labelled(int exponent, int digit, double decades) {
  if (decades < 3) { return digit == 1 || digit == 2 || digit == 5; }
  const int every = static_cast<int>(std::ceil(decades / 11));
  return digit == 1 && exponent % every == 0;
}

Extent with_width(Extent extent) {
  const double half = extent.least == 0 ? 1.0 : std::abs(extent.least) * 0.1;
  if (extent.span() <= half * 1e-9) {
    extent.least -= half;
    extent.greatest += half;
  }
  return extent;
}

}  // namespace

void Extent::include(double value) {
  if (!std::isfinite(value)) { return; }
  least = empty ? value : std::min(least, value);
  greatest = empty ? value : std::max(greatest, value);
  empty = false;
}

void Extent::include(const std::vector<double>& values) {
  for (const double value : values) { include(value); }
}

Axis linear_axis(double from, double to, int wanted) {
  Axis axis{from, to, false, {}, {}};
  const double step = round_step((to - from) / wanted);
  for (const double at : multiples(step, from, to)) { axis.ticks.push_back({at, tick_label(at, step)}); }
  return axis;
}

Axis axis_around(const Extent& extent, int wanted) {
  if (extent.empty) { return linear_axis(0, 1, wanted); }
  Extent wide = with_width(extent);
  const bool from_zero = wide.least >= 0 && wide.least < 0.4 * wide.greatest;
  const bool to_zero = wide.greatest <= 0 && wide.greatest > 0.4 * wide.least;
  wide.least = from_zero ? 0.0 : wide.least;
  wide.greatest = to_zero ? 0.0 : wide.greatest;
  const double air = 0.07 * wide.span();
  return linear_axis(wide.least - air, wide.greatest + air, wanted);
}

Axis logarithmic_axis(const Extent& extent, std::string_view unit) {
  if (extent.empty || extent.least <= 0) { return logarithmic_axis(Extent{1, 10, false}, unit); }
  const double air = std::max(1.1, std::pow(extent.greatest / extent.least, 0.05));
  Axis axis{extent.least / air, extent.greatest * air, true, {}, {}};
  const double decades = std::log10(axis.to / axis.from);
  const int last = static_cast<int>(std::floor(std::log10(axis.to)));
  for (int exponent = static_cast<int>(std::floor(std::log10(axis.from))); exponent <= last; ++exponent) {
    for (int digit = 1; digit < 10; ++digit) {
      const double at = digit * std::pow(10.0, exponent);
      if (at < axis.from || at > axis.to) { continue; }
      if (is_labelled(exponent, digit, decades)) {
        axis.ticks.push_back({at, decade_label(at, unit)});
      } else {
        axis.minor.push_back(at);
      }
    }
  }
  return axis;
}

double share_of(const Axis& axis, double value) {
  if (axis.logarithmic) { return std::log(value / axis.from) / std::log(axis.to / axis.from); }
  return (value - axis.from) / (axis.to - axis.from);
}

}  // namespace gastube::examples
