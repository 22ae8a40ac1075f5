// SPDX-License-Identifier: MIT
#include "sheet.hpp"

#include "csv.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace gastube::examples {
namespace {

constexpr double never = std::numeric_limits<double>::max();

std::string fault_in(const Trace& trace) {
  if (trace.time.size() != trace.value.size()) {
    return fmt::format("trace '{}': {} times and {} values", trace.label, trace.time.size(), trace.value.size());
  }
  if (!std::all_of(trace.time.begin(), trace.time.end(), [](double time) { return std::isfinite(time); })) {
    return fmt::format("trace '{}': a time that is not finite", trace.label);
  }
  if (!std::is_sorted(trace.time.begin(), trace.time.end())) {
    return fmt::format("trace '{}': time goes backwards", trace.label);
  }
  return {};
}

std::string fault_in(const Panel& panel) {
  for (const Trace& trace : panel.traces) {
    if (std::string fault = fault_in(trace); !fault.empty()) { return fault; }
  }
  for (const Limit& limit : panel.limits) {
    if (!std::isfinite(limit.value)) {
      return fmt::format("panel '{}': limit '{}' is not finite", panel.title, limit.label);
    }
  }
  return {};
}

/// Rounding may let a span begin a hair before the last one ends.
bool overlaps(const Span& span, double before) { return span.from < before - 1e-9 * std::abs(before); }

std::string fault_in(const StateBand& band) {
  double before = std::numeric_limits<double>::lowest();
  for (const Span& span : band.spans) {
    if (!std::isfinite(span.from) || !std::isfinite(span.to) || span.to < span.from || overlaps(span, before)) {
      return fmt::format(
          "tube '{}': state '{}' from {} s to {} s ends before it begins, or begins before the last one ends",
          band.tube, span.state, exact_text(span.from), exact_text(span.to));
    }
    before = span.to;
  }
  return {};
}

/// Reads a trace row by row.
class TraceReader {
 public:
  explicit TraceReader(const Trace& trace) : trace_(&trace) {}
  [[nodiscard]] double next_time() const { return at_ < trace_->time.size() ? trace_->time[at_] : never; }
  void write(CsvTable& table, double time) {
    if (next_time() > time) {
      table.empty_cell();
      return;
    }
    table.cell(trace_->value[at_++]);
  }

 private:
  const Trace* trace_;
  std::size_t at_ = 0;
};

class BandReader {
 public:
  explicit BandReader(const StateBand& band) : band_(&band) {}
  [[nodiscard]] double next_time() const { return at_ < band_->spans.size() ? band_->spans[at_].from : never; }
  void write(CsvTable& table, double time) {
    while (next_time() <= time) { ++at_; }
    const bool in_state = at_ > 0 && time <= band_->spans[at_ - 1].to;
    table.cell(in_state ? std::string_view(band_->spans[at_ - 1].state) : std::string_view());
  }

 private:
  const StateBand* band_;
  std::size_t at_ = 0;
};

class EventReader {
 public:
  explicit EventReader(std::vector<EventMark> events) : events_(std::move(events)) {
    std::stable_sort(events_.begin(), events_.end(),
                     [](const EventMark& a, const EventMark& b) { return a.time < b.time; });
  }
  [[nodiscard]] double next_time() const { return at_ < events_.size() ? events_[at_].time : never; }
  void write(CsvTable& table, double time) {
    std::string names;
    for (; next_time() <= time; ++at_) { names += (names.empty() ? "" : "; ") + events_[at_].name; }
    table.cell(names);
  }

 private:
  std::vector<EventMark> events_;
  std::size_t at_ = 0;
};

/// All that a sheet knows, side by side in order of time.
class Merger {
 public:
  explicit Merger(const WaveformSheet& sheet) : events_(sheet.events) {
    for (const Panel& panel : sheet.panels) {
      for (const Trace& trace : panel.traces) { traces_.emplace_back(trace); }
    }
    for (const StateBand& band : sheet.bands) { bands_.emplace_back(band); }
  }
  [[nodiscard]] double next_time() const {
    double next = events_.next_time();
    for (const TraceReader& trace : traces_) { next = std::min(next, trace.next_time()); }
    for (const BandReader& band : bands_) { next = std::min(next, band.next_time()); }
    return next;
  }
  void write_row(CsvTable& table) {
    const double time = next_time();
    table.cell(time);
    for (TraceReader& trace : traces_) { trace.write(table, time); }
    for (BandReader& band : bands_) { band.write(table, time); }
    events_.write(table, time);
    table.end_row();
  }

 private:
  std::vector<TraceReader> traces_{};
  std::vector<BandReader> bands_{};
  EventReader events_;
};

std::string trace_heading(const Panel& panel, const Trace& trace) {
  const std::string name =
      trace.label.empty() || trace.label == panel.title ? panel.title : fmt::format("{}: {}", panel.title, trace.label);
  return panel.unit.empty() ? name : fmt::format("{} [{}]", name, panel.unit);
}

void write_headings(const WaveformSheet& sheet, CsvTable& table) {
  table.cell("time [s]");
  for (const Panel& panel : sheet.panels) {
    for (const Trace& trace : panel.traces) { table.cell(trace_heading(panel, trace)); }
  }
  for (const StateBand& band : sheet.bands) { table.cell(fmt::format("state of {}", band.tube)); }
  table.cell("event");
  table.end_row();
}

}  // namespace

std::string fault_in(const WaveformSheet& sheet) {
  for (const Panel& panel : sheet.panels) {
    if (std::string fault = fault_in(panel); !fault.empty()) { return fault; }
  }
  for (const StateBand& band : sheet.bands) {
    if (std::string fault = fault_in(band); !fault.empty()) { return fault; }
  }
  for (const EventMark& event : sheet.events) {
    if (!std::isfinite(event.time)) { return fmt::format("event '{}': its time is not finite", event.name); }
  }
  return {};
}

WriteResult write_csv(const WaveformSheet& sheet, const std::string& path) {
  if (const std::string fault = fault_in(sheet); !fault.empty()) {
    return {false, fmt::format("table {} not written: {}", path, fault)};
  }
  CsvTable table;
  write_headings(sheet, table);
  Merger merger(sheet);
  while (merger.next_time() < never) { merger.write_row(table); }
  return table.save(path);
}

}  // namespace gastube::examples
