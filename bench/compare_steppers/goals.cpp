// SPDX-License-Identifier: MIT
#include "goals.hpp"

#include <cmath>
#include <initializer_list>
#include <string_view>

namespace compare {

namespace {

class Goals {
 public:
  explicit Goals(const std::vector<Row>& rows) : rows_(rows) {}

  void at_most_closed(const char* problem, double wanted) {
    add(problem, std::string(exact_scheme) + ", as a multiple of the closed form", wanted,
        seconds(find(problem, exact_scheme)) / seconds(find(problem, "closed form")), false);
  }
  /// How many times quicker than a peer at 1e-6.
  void quicker(const char* problem, const char* ours, const char* peer, double wanted) {
    add(problem, std::string(ours) + ", times quicker than " + peer + " at 1e-6", wanted,
        seconds(find(problem, peer, 1e-6)) / seconds(find(problem, ours)), true);
  }
  void lamp() {
    const Row* best = best_lamp("P4");
    const std::string name = best ? best->method : "a scheme";
    for (const auto& [peer, wanted] : {std::pair<const char*, double>{"CVODE", 15}, {"rosenbrock4", 3}})
      add("P4", name + ", times quicker than " + peer + " at 1e-6", wanted,
          seconds(find("P4", peer, 1e-6)) / seconds(best), true);
    add("P4", name + ", worst event, s", lamp_event_error, best ? best->worst : unknown, false);
    add("P4", name + ", temperature", lamp_temperature_error, best ? best->temperature : unknown, false);
    const Row* day = best_lamp("P4day");
    add("P4day", (day ? day->method : "a scheme") + ", 24 h, s", 5, seconds(day), false);
  }
  /// By how much the cost of an event grows from 10 to 200 tubes, as a power of their number.
  void growth(const char* ours, double wanted) {
    const Row *few = find("P5/10", ours), *many = find("P5/200", ours);
    const double power = few && many ? std::log(many->per_event() / few->per_event()) / std::log(20.0) : unknown;
    add("P5/200", std::string(ours) + ", growth of an event's cost from 10 tubes, power", wanted, power, false);
  }
  std::vector<Goal> take() { return std::move(goals_); }

 private:
  static constexpr double lamp_event_error = 1e-10, lamp_temperature_error = 1e-6;

  void add(const char* problem, std::string what, double wanted, double reached, bool at_least) {
    for (const Row& row : rows_)
      if (row.problem == problem) return goals_.push_back({problem, std::move(what), wanted, reached, at_least});
  }
  [[nodiscard]] static double seconds(const Row* row) { return row ? row->seconds : unknown; }
  [[nodiscard]] const Row* find(std::string_view problem, std::string_view method, double tolerance = 0) const {
    for (const Row& row : rows_)
      if (row.problem == problem && row.method == method && row.tolerance == tolerance) return &row;
    return nullptr;
  }
  [[nodiscard]] static bool is_ours(const Row& row) {
    for (const char* other : {"closed form", "CVODE", "IDA band", "dopri5", "rosenbrock4"})
      if (row.method == other) return false;
    return true;
  }
  /// The quickest scheme that is as true as wanted, if any is; within a day the clock itself is no finer than 1.5e-11
  /// s.
  [[nodiscard]] const Row* best_lamp(std::string_view problem) const {
    const Row* best = nullptr;
    for (const Row& row : rows_) {
      const bool fit = row.worst <= lamp_event_error && row.temperature <= lamp_temperature_error;
      if (row.problem == problem && is_ours(row) && fit && (!best || row.seconds < best->seconds)) best = &row;
    }
    return best;
  }

  const std::vector<Row>& rows_;
  std::vector<Goal> goals_;
};

}  // namespace

std::vector<Goal> goals_of(const std::vector<Row>& rows) {
  Goals goals(rows);
  goals.at_most_closed("P1", 4);
  goals.quicker("P1", exact_scheme, "dopri5", 15);
  goals.quicker("P1", exact_scheme, "CVODE", 300);
  goals.at_most_closed("P2", 4);
  goals.quicker("P2", exact_scheme, "dopri5", 15);
  goals.quicker("P2", exact_scheme, "CVODE", 100);
  goals.at_most_closed("P3", 3);
  goals.quicker("P3", exact_scheme, "dopri5", 12);
  goals.quicker("P3", exact_scheme, "CVODE", 250);
  goals.quicker("P3s", exact_scheme, "rosenbrock4", 30);
  goals.quicker("P3s", exact_scheme, "CVODE", 100);
  goals.lamp();
  goals.quicker("P5/4", exact_scheme, "dopri5", 50);
  goals.quicker("P5/4", exact_scheme, "IDA band", 100);
  goals.quicker("P5/10", exact_scheme, "dopri5", 30);
  goals.quicker("P5/10", exact_scheme, "IDA band", 150);
  goals.quicker("P5/50", exact_scheme_warm, "dopri5", 30);
  goals.quicker("P5/50", exact_scheme, "dopri5", 6);
  goals.quicker("P5/200", exact_scheme_warm, "dopri5", 25);
  goals.quicker("P5/200", exact_scheme, "dopri5", 2);
  goals.growth(exact_scheme_warm, 1.2);
  goals.growth(exact_scheme, 2);
  return goals.take();
}

}  // namespace compare
