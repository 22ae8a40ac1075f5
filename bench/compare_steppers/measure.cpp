// SPDX-License-Identifier: MIT
#include "measure.hpp"

#include "closed_forms.hpp"
#include "memory.hpp"
#include "peers.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <ctime>
#include <map>

namespace compare {

namespace {

/// Of the processor, so that other work on the machine does not count.
double seconds_of(const Method& method, Outcome& out, long times) {
  const std::clock_t begin = std::clock();
  for (long k = 0; k < times; ++k) {
    out.clear();
    method.run(out);
  }
  return double(std::clock() - begin) / double(CLOCKS_PER_SEC) / double(times);
}

/// The least of several batches, each long enough for the clock.
double best_time(const Method& method, Outcome& out, double once, const Effort& effort) {
  if (once > 2) return once;
  if (once < 1e-3) once = seconds_of(method, out, 100);  // too short for the clock
  const long times = std::max(1L, std::lround(std::ceil(effort.batch / std::max(once, 1e-9))));
  double best = once;
  for (int k = 0; k < effort.batches; ++k) best = std::min(best, seconds_of(method, out, times));
  return best;
}

bool same_order(const Outcome& a, const Outcome& b) {
  return std::equal(a.events.begin(), a.events.end(), b.events.begin(), b.events.end(),
                    [](const Event& x, const Event& y) { return x.tube == y.tube && x.lit == y.lit; });
}

void add_errors(Row& row, const Outcome& out, const Outcome& right) {
  if (!out.failure.empty() || out.events.empty() || !same_order(out, right)) return;
  row.worst = 0;
  for (std::size_t k = 0; k < out.events.size(); ++k)
    row.worst = std::max(row.worst, std::fabs(out.events[k].time - right.events[k].time));
  row.phase = std::fabs(out.events.back().time - right.events.back().time);
  if (right.temperature > 0) row.temperature = std::fabs(out.temperature - right.temperature);
}

constexpr std::size_t largest_closed_ring = 1000;

std::vector<Method> closed_methods(const Problem& problem) {
  if (problem.count > largest_closed_ring) return {};
  std::vector<Method> methods{{"closed form", 0, closed_form(problem.kind, problem.count)}};
  if (problem.count > 0)  // its modes are found anew
    methods.push_back(
        {"closed form, cold", 0, [problem](Outcome& out) { closed_form(problem.kind, problem.count)(out); }});
  return methods;
}

std::vector<Method> peer_methods(const Problem& problem) {
  std::vector<Method> methods;
  using Make = PeerRun (*)(const std::string&, std::size_t, double);
  const auto add = [&](const char* name, Make make) {
    for (const double tolerance : {1e-4, 1e-6, 1e-9})
      if (PeerRun run = make(problem.kind, problem.count, tolerance))
        methods.push_back({name, tolerance, std::move(run)});
  };
  add("CVODE", cvode_run);
  add("IDA band", ida_run);
  add("dopri5", dopri5_run);
  add("rosenbrock4", rosenbrock4_run);
  return methods;
}

}  // namespace

Row measure(const Problem& problem, const Method& method, const Outcome& right, const Effort& effort) {
  Row row{problem.name, method.name, method.tolerance};
  row.expected = problem.expected;
  Outcome out;
  out.events.reserve(right.events.size() + 64);
  begin_counting_memory();
  const double once = seconds_of(method, out, 1);
  row.bytes = double(most_memory());
  row.tubes = problem.count;
  row.failure = out.failure;
  row.events = out.events.size();
  add_errors(row, out, right);
  row.steps = out.steps;
  row.solves = out.solves;
  row.seconds = out.failure.empty() ? best_time(method, out, once, effort) : unknown;
  return row;
}

Outcome right_outcome(const Problem& problem) {
  Outcome right;
  closed_form_in_long_double(problem.kind, std::min<std::size_t>(problem.count, 400))(right);
  return right;
}

std::vector<Row> race_on(const Problem& problem, const Effort& effort) {
  std::fprintf(stderr, "%s ", problem.name.c_str());
  const Outcome right = right_outcome(problem);
  std::vector<Method> methods = closed_methods(problem);
  for (const auto some : {&library_methods, &peer_methods})
    for (Method& method : (*some)(problem)) methods.push_back(std::move(method));
  std::vector<Row> rows;
  std::map<std::string, double> took;
  for (const Method& method : methods) {
    if (took[method.name] > effort.patience) continue;
    rows.push_back(measure(problem, method, right, effort));
    took[method.name] = rows.back().seconds;
    std::fputc('.', stderr);
  }
  std::fputc('\n', stderr);
  return rows;
}

}  // namespace compare
