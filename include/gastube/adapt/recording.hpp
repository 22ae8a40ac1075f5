// SPDX-License-Identifier: MIT
#pragma once
/// A recording as a source: samples with their times from a file of comma-separated columns. Opt-in: needs the Fast C++
/// CSV Parser (header only; Debian: libfccp-dev).
///   const auto clap = read_recording("clap.csv");  // columns seconds, volts
///   VoltageSource{microphone, ground, sampled<double>(clap)}

#include "gastube/adapt/measurements.hpp"
#include "gastube/circuit/point_wave.hpp"

namespace gastube::adapt {

/// Samples, in the order of the file. Keep them while the circuit lives: sampled() does not copy them.
/// @param value name of the column that holds the values, V or A; the times, s, stand in `seconds`
/// @throws InvalidRequest naming file, line and column, also for a time before that of the line above
[[nodiscard]] inline std::vector<TimedValue<double>> read_recording(const std::string& file,
                                                                    const char* value = "volts") {
  const auto samples = detail::read_points<TimedValue<double>>(file, "seconds", value);
  if (samples.empty()) gastube::detail::raise(InvalidRequest(file + ": no samples below the names of the columns"));
  for (std::size_t k = 1; k < samples.size(); ++k)
    if (!(samples[k].time >= samples[k - 1].time))
      gastube::detail::raise(InvalidRequest(file + ", sample " + std::to_string(k + 1) + ": its time is "
                                            + std::to_string(samples[k].time) + " s, before that of the sample above"));
  return samples;
}

}  // namespace gastube::adapt
