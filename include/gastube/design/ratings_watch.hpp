// SPDX-License-Identifier: MIT
#pragma once
/// What gets hurt: every rating against what the tube will see.

#include "gastube/tube/ratings/ratings.hpp"

#include <array>
#include <cstddef>

namespace gastube::design {

/// What a tube will see. Negative voltages count as positive numbers.
template <Real S>
struct Stress {
  S peak_forward = S(0), peak_inverse = S(0);     ///< V, plate
  S peak_current = S(0), average_current = S(0);  ///< A, cathode; average over the averaging time at its worst
  S grid_negative_before = S(0), grid_negative_during = S(0);  ///< V
  S grid_current = S(0);                                       ///< A, average positive
  S grid_resistance = S(0);                                    ///< ohm
  S heater_positive = S(0), heater_negative = S(0);            ///< V, peak
  S heating_time = S(0);                                       ///< s waited before conduction
  S ambient = S(25);                                           ///< degrees Celsius
};

/// One rating and how it stands.
template <Real S>
struct RatingLine {
  const char* rating;
  const char* unit;
  S value, limit;
  S use;                  ///< share of the limit used, above 1: violated
  bool applies;           ///< false where no limit is published
  bool is_least = false;  ///< the limit is a least value, not a greatest
};

template <Real S>
struct RatingsReport {
  static constexpr std::size_t count = 13;
  std::array<RatingLine<S>, count> lines;
  std::size_t first_violated;  ///< number of the line used most, which is violated first as stress grows

  /// The line that is used most.
  [[nodiscard]] const RatingLine<S>& worst() const { return lines[first_violated]; }
  [[nodiscard]] bool all_kept() const { return !(value_of(worst().use) > Plain<S>(1)); }
};

/// Compares stress with ratings.
template <Real S>
[[nodiscard]] RatingsReport<S> watch(const Ratings<S>& ratings, const Stress<S>& stress) {
  const auto below = [](const char* name, const char* unit, const S& value, const S& limit) {
    const bool applies = is_limited(limit) && value_of(limit) > Plain<S>(0);
    return RatingLine<S>{name, unit, value, limit, applies ? S(value / limit) : S(0), applies};
  };
  const auto waited = [](const S& value, const S& least) {
    const bool applies = value_of(least) > Plain<S>(0);
    const S use = value_of(value) > Plain<S>(0) ? S(least / value) : unlimited<S>();
    return RatingLine<S>{"heating time before conduction", "s", value, least, applies ? use : S(0), applies, true};
  };
  const S span = S(S(Plain<S>(0.5)) * (ratings.ambient_high - ratings.ambient_low));
  const S middle = S(ratings.ambient_low + span);
  const bool has_ambient = is_limited(ratings.ambient_high);
  const bool hot = value_of(stress.ambient) >= value_of(middle);
  RatingsReport<S> report{
      {below("peak forward plate voltage", "V", stress.peak_forward, ratings.peak_forward),
       below("peak inverse plate voltage", "V", stress.peak_inverse, ratings.peak_inverse),
       below("peak cathode current", "A", stress.peak_current, ratings.peak_current),
       below("average cathode current", "A", stress.average_current, ratings.average_current),
       below("fault current", "A", stress.peak_current, ratings.fault_current),
       below("negative grid before conduction", "V", stress.grid_negative_before, ratings.grid_negative_before),
       below("negative grid during conduction", "V", stress.grid_negative_during, ratings.grid_negative_during),
       below("average positive grid current", "A", stress.grid_current, ratings.grid_current),
       below("grid circuit resistance", "ohm", stress.grid_resistance, ratings.grid_resistance),
       below("heater positive to cathode", "V", stress.heater_positive, ratings.heater_positive),
       below("heater negative to cathode", "V", stress.heater_negative, ratings.heater_negative),
       waited(stress.heating_time, ratings.heating_time),
       RatingLine<S>{"ambient temperature", "degC", stress.ambient, hot ? ratings.ambient_high : ratings.ambient_low,
                     has_ambient ? S(math::abs(S(stress.ambient - middle)) / span) : S(0), has_ambient, !hot}},
      0};
  for (std::size_t k = 1; k < report.lines.size(); ++k)
    if (value_of(report.lines[k].use) > value_of(report.worst().use)) report.first_violated = k;
  return report;
}

}  // namespace gastube::design
