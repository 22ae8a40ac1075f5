// SPDX-License-Identifier: MIT
#pragma once
/// Keeps chosen quantities of a run, at every step and on both sides of each jump, and the log of events.
///   Recorder recorder{VoltageProbe{plate}, CurrentProbe{lamp}};  run.run_until(1.0, recorder);

#include "gastube/circuit/run.hpp"

#include <array>
#include <tuple>
#include <vector>

namespace gastube {

/// Voltage of a node against another, V.
struct VoltageProbe {
  Node node, against = ground_node;
  template <class Run>
  [[nodiscard]] double operator()(const Run& run) const {
    return double(value_of(voltage(run, node))) - double(value_of(voltage(run, against)));
  }
};
/// Current of part number `part` (see Circuit::find), A.
struct CurrentProbe {
  std::size_t part;
  template <class Run>
  [[nodiscard]] double operator()(const Run& run) const {
    return double(value_of(current(run, part)));
  }
};
/// Own unknown k of a part: a filament's temperature, a winding's current.
struct OwnProbe {
  std::size_t part, k = 0;
  template <class Run>
  [[nodiscard]] double operator()(const Run& run) const {
    return double(value_of(own_unknown(run, part, k)));
  }
};
/// Follower k of a part: a tube's residual ionisation, a meter's integral.
struct FollowerProbe {
  std::size_t part, k = 0;
  template <class Run>
  [[nodiscard]] double operator()(const Run& run) const {
    return double(value_of(follower(run, part, k)));
  }
};

/// One event of the log.
struct LoggedChange {
  double time;  ///< s
  Change change;
};

/// Observer that grows with the run. A probe is anything that gives a double for a run.
template <class... Probes>
class Recorder {
 public:
  using Row = std::array<double, sizeof...(Probes)>;

  explicit Recorder(Probes... probes) : probes_(probes...) {}

  template <class Run>
  void step(const Run& run) {
    keep(run);
  }
  template <class Run>
  void arrive(const Run& run) {
    keep(run);
  }
  template <class S>
  void change(const S& time, const Change& change) {
    changes_.push_back({double(value_of(time)), change});
  }

  /// s; a time stands twice where something jumps.
  [[nodiscard]] const std::vector<double>& times() const noexcept { return times_; }
  /// One row of probe values for each time.
  [[nodiscard]] const std::vector<Row>& rows() const noexcept { return rows_; }
  [[nodiscard]] const std::vector<LoggedChange>& changes() const noexcept { return changes_; }
  /// All values of probe number `probe`.
  [[nodiscard]] std::vector<double> column(std::size_t probe) const {
    std::vector<double> values;
    values.reserve(rows_.size());
    for (const Row& row : rows_) values.push_back(row[probe]);
    return values;
  }

 private:
  template <class Run>
  void keep(const Run& run) {
    times_.push_back(double(value_of(run.time())));
    rows_.push_back(std::apply([&](const auto&... probe) { return Row{probe(run)...}; }, probes_));
  }

  std::tuple<Probes...> probes_;
  std::vector<double> times_;
  std::vector<Row> rows_;
  std::vector<LoggedChange> changes_;
};

}  // namespace gastube
