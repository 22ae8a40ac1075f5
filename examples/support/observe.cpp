// SPDX-License-Identifier: MIT
#include "observe.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace gastube::examples {

double Observed::least(const Trace& trace) { return *std::min_element(trace.value.begin(), trace.value.end()); }

double Observed::greatest(const Trace& trace) { return *std::max_element(trace.value.begin(), trace.value.end()); }

double Observed::least_while(std::string_view subject, std::string_view state, const Trace& trace) const {
  double found = std::nan("");
  for (const StateBand& band : sheet.bands) {
    for (const Span& span : band.spans) {
      if (band.tube != subject || span.state != state) { continue; }
      for (const double value : clip(trace, span.from, span.to).value) { found = std::fmin(found, value); }
    }
  }
  return found;
}

void Observed::mark(std::string_view subject, std::string_view to, std::string_view name) {
  for (const double time : events.of(subject, to)) { sheet.events.push_back({time, std::string(name)}); }
}

void Observed::mark_lit(std::string_view subject, std::string_view name) {
  for (const double time : events.lit(subject)) { sheet.events.push_back({time, std::string(name)}); }
}

void Observed::open_band(std::string_view subject, std::string_view state) {
  sheet.bands.push_back({std::string(subject), {{begin, begin, std::string(state)}}});
}

void Observed::close_bands() {
  for (StateBand& band : sheet.bands) {
    for (const LogEntry& entry : events.entries) {
      if (entry.tube != band.tube) { continue; }
      band.spans.back().to = entry.time;
      band.spans.push_back({entry.time, end, entry.to});
    }
    band.spans.back().to = end;
  }
}

std::string log_of(const Observed& seen, std::size_t most) {
  const std::string log = event_log(seen.events.entries, most);
  if (!seen.cut_short) { return log; }
  return log
         + paragraph(fmt::format("The run was ended at {}: more than {} changes of state.",
                                 engineering(seen.end, "s", 6), most_changes));
}

}  // namespace gastube::examples
