// SPDX-License-Identifier: MIT
#include "observe.hpp"

#include <gastube/tube/states.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>

namespace gastube::examples {
namespace {

bool names_lit(std::string_view state) {
  constexpr TubeState lit[] = {TubeState::conducting, TubeState::glow, TubeState::abnormal_glow, TubeState::arc};
  return std::any_of(std::begin(lit), std::end(lit), [&](TubeState one) { return state == name(one); });
}

}  // namespace

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

void Observed::mark_lit(std::string_view subject, std::string_view name, double pause) {
  double out = begin - pause;
  for (const LogEntry& entry : events.entries) {
    if (entry.tube != subject) { continue; }
    const bool formed = entry.why == gastube::name(Cause::arc_formed);
    if (formed && entry.time - out >= pause) { sheet.events.push_back({entry.time, std::string(name)}); }
    if (names_lit(entry.from) && !names_lit(entry.to)) { out = entry.time; }
  }
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
