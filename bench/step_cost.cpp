// SPDX-License-Identifier: MIT
/// What a step of the lamp latch costs: each scheme with fixed steps, in a circuit of fixed size and of a size known at
/// run time, against a loop written by hand for this one circuit; and the whole run at a tolerance, against IDA of
/// SUNDIALS with root finding. Besides the usual lines it prints tables of ratios, all from one run of this program.

#include "../tests/reference/latch_by_gastube.hpp"

#include <benchmark/benchmark.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <map>
#include <string>
#ifdef GASTUBE_HAVE_SUNDIALS
#include "../tests/reference/latch_by_ida.hpp"
#endif
#include "latch_by_hand.hpp"

namespace {

constexpr double step = 5e-6;  // s, of the runs with fixed steps: 100 000 of them
constexpr std::array tolerances{1e-4, 1e-6, 1e-8};

[[noreturn]] void give_up(const char* why) {
  std::fprintf(stderr, "step_cost: %s\n", why);
  std::exit(1);
}

// ---- runs
// ------------------------------------------------------------------------------------------------------------
void count_steps(benchmark::State& state, long steps) {
  state.counters["steps"] = double(steps);
  state.counters["a step"] = benchmark::Counter(double(steps) * double(state.iterations()),
                                                benchmark::Counter::kIsRate | benchmark::Counter::kInvert);
}

void step_by_hand(benchmark::State& state) {
  long steps = 0;
  for (auto _ : state) {
    by_hand::Latch latch({}, gastube::Settings<double>{}.relative);
    latch.run(step, latch::Values{}.end);
    steps = latch.steps();
    benchmark::DoNotOptimize(latch.plate_a());
  }
  count_steps(state, steps);
}

template <class Scheme, class Circuit>
void step_circuit(benchmark::State& state, const Circuit& circuit) {
  gastube::Settings<double> settings;
  settings.fixed_step = step;
  long steps = 0;
  for (auto _ : state) {
    auto run = gastube::start<Scheme>(circuit, settings);
    if (run.run_until(latch::Values{}.end) != gastube::Status::done) give_up("a run with fixed steps failed");
    steps = run.steps();
    benchmark::DoNotOptimize(gastube::voltage(run, latch::plate_a));
  }
  count_steps(state, steps);
}

[[nodiscard]] gastube::Settings<double> settings_for(double tolerance) {
  gastube::Settings<double> settings;
  settings.relative = tolerance;
  settings.absolute = 0.1 * tolerance;
  return settings;
}

void run_circuit(benchmark::State& state, double tolerance) {
  const auto circuit = latch::circuit({}, false);
  long steps = 0;
  for (auto _ : state) {
    auto run = gastube::start(circuit, settings_for(tolerance));
    if (run.run_until(latch::Values{}.end) != gastube::Status::done) give_up("a run to a tolerance failed");
    steps = run.steps();
  }
  count_steps(state, steps);
}

#ifdef GASTUBE_HAVE_SUNDIALS
void run_ida(benchmark::State& state, double tolerance) {
  long steps = 0;
  for (auto _ : state) steps = latch::IdaLatch({}, false, tolerance).run({}).steps;
  count_steps(state, steps);
}
#endif

// ---- names and times
// ---------------------------------------------------------------------------------------------------
[[nodiscard]] std::string step_name(const char* scheme, const char* how) {
  return std::string("step/") + scheme + "/" + how;
}
[[nodiscard]] std::string run_name(double tolerance, const char* how) {
  char text[64];
  std::snprintf(text, sizeof text, "run/%.0e/%s", tolerance, how);
  return text;
}

constexpr const char *hand = "by hand", *fixed_size = "fixed size", *run_time_size = "run-time size";

template <class Scheme>
void register_scheme() {
  const auto circuit = latch::circuit({}, false);
  const auto dynamic = latch::dynamic_circuit({}, false);
  benchmark::RegisterBenchmark(step_name(Scheme::name, fixed_size).c_str(),
                               [circuit](benchmark::State& state) { step_circuit<Scheme>(state, circuit); });
  benchmark::RegisterBenchmark(step_name(Scheme::name, run_time_size).c_str(),
                               [dynamic](benchmark::State& state) { step_circuit<Scheme>(state, dynamic); });
}

void register_all() {
  benchmark::RegisterBenchmark(step_name(gastube::BackwardEuler::name, hand).c_str(), step_by_hand);
  register_scheme<gastube::BackwardEuler>();
  register_scheme<gastube::Trapezoidal>();
  register_scheme<gastube::TrBdf2>();
  for (const double t : tolerances) {
    benchmark::RegisterBenchmark(run_name(t, "gastube").c_str(),
                                 [t](benchmark::State& state) { run_circuit(state, t); });
#ifdef GASTUBE_HAVE_SUNDIALS
    benchmark::RegisterBenchmark(run_name(t, "IDA").c_str(), [t](benchmark::State& state) { run_ida(state, t); });
#endif
  }
}

/// Prints as usual and keeps the least processor time of each benchmark over its repetitions.
class Collector : public benchmark::ConsoleReporter {
 public:
  struct Cost {
    double seconds = 1e300;  ///< of the processor, for one run
    double steps = 0;
    [[nodiscard]] double step() const { return seconds / steps; }
  };

  void ReportRuns(const std::vector<Run>& runs) override {
    for (const Run& run : runs) {
      if (run.run_type != Run::RT_Iteration || run.error_occurred) continue;
      Cost& cost = costs_[run.run_name.function_name];
      cost.seconds = std::min(cost.seconds, run.cpu_accumulated_time / double(run.iterations));
      cost.steps = run.counters.at("steps").value;
    }
    ConsoleReporter::ReportRuns(runs);
  }
  /// Null if that one was filtered out.
  [[nodiscard]] const Cost* find(const std::string& name) const {
    const auto found = costs_.find(name);
    return found == costs_.end() ? nullptr : &found->second;
  }

 private:
  std::map<std::string, Cost> costs_;
};

// ---- tables
// ------------------------------------------------------------------------------------------------------------
void print_steps(const Collector& costs) {
  const auto* base = costs.find(step_name(gastube::BackwardEuler::name, hand));
  if (base == nullptr) return;
  std::printf("\nA step of the lamp latch, fixed steps of %.0f us\n%-16s %-15s %9s %9s %9s\n", step * 1e6, "scheme",
              "circuit", "steps", "ns/step", "x by hand");
  for (const char* scheme : {gastube::BackwardEuler::name, gastube::Trapezoidal::name, gastube::TrBdf2::name})
    for (const char* how : {hand, fixed_size, run_time_size})
      if (const auto* cost = costs.find(step_name(scheme, how)))
        std::printf("%-16s %-15s %9.0f %9.0f %9.2f\n", scheme, how, cost->steps, cost->step() * 1e9,
                    cost->step() / base->step());
}

/// Both must do the same work, or their times tell nothing. Formations may be summed up by different rules, so strikes
/// may differ by less than a step.
void check_by_hand() {
  gastube::Settings<double> settings;
  settings.fixed_step = step;
  auto run = gastube::start<gastube::BackwardEuler>(latch::circuit({}, false), settings);
  latch::EventNotes notes;
  if (run.run_until(latch::Values{}.end, notes) != gastube::Status::done) give_up("a run with fixed steps failed");
  by_hand::Latch by_hand({}, settings.relative);
  by_hand.run(step, latch::Values{}.end);
  const latch::Sample end = latch::sample(run);
  const double volts = std::max(std::fabs(by_hand.plate_a() - end.plate_a), std::fabs(by_hand.plate_b() - end.plate_b));
  double strike = 0;
  for (const latch::Event& event : notes.events)
    if (std::string(event.state) == "conducting") strike = event.time;
  const double seconds = std::fabs(by_hand.last_strike() - strike);
  std::printf("backward Euler by hand and in a circuit end %.1e V apart, their last strikes are %.1e s apart\n", volts,
              seconds);
  const bool same_events = by_hand.events() == notes.events.size();
  if (!(volts < 1e-6 && seconds < step && same_events)) give_up("the loop by hand does something else");
}

#ifdef GASTUBE_HAVE_SUNDIALS
constexpr double reference_tolerance = 1e-11;

/// Greatest errors of a run: voltages as shares of the line, events in seconds.
struct Errors {
  double voltage, strike, afterglow;
};
[[nodiscard]] Errors errors(const latch::Outcome& got, const latch::Outcome& reference) {
  if (got.events.size() != reference.events.size()) give_up("other events than the reference");
  Errors e{latch::voltage_gap(got, reference), 0, 0};
  for (std::size_t k = 0; k < got.events.size(); ++k) {
    const double gap = std::fabs(got.events[k].time - reference.events[k].time);
    double& greatest = std::string(got.events[k].state) == "blocked" ? e.afterglow : e.strike;
    greatest = std::max(greatest, gap);
  }
  return e;
}
void print_run(double tolerance, const char* how, const Collector::Cost& cost, double base, const Errors& e) {
  std::printf("%9.0e  %-8s %8.0f %9.2f %9.2f    %9.1e %11.1e %11.1e\n", tolerance, how, cost.steps, cost.seconds * 1e3,
              cost.seconds / base, e.voltage, e.strike, e.afterglow);
}
void print_runs(const Collector& costs) {
  const latch::Outcome reference = latch::IdaLatch({}, false, reference_tolerance).run(latch::sample_times);
  std::printf(
      "\nThe whole run, 0.5 s with 10 events; errors against IDA at %.0e\n%9s  %-8s %8s %9s %9s    %9s %11s %11s\n",
      reference_tolerance, "tolerance", "solver", "steps", "ms", "x IDA", "volts/48", "strikes, s", "recovery, s");
  for (const double t : tolerances) {
    const auto *ours = costs.find(run_name(t, "gastube")), *ida = costs.find(run_name(t, "IDA"));
    if (ours == nullptr || ida == nullptr) continue;
    const auto by_gastube = latch::run(latch::circuit({}, false), settings_for(t), latch::sample_times);
    print_run(t, "gastube", *ours, ida->seconds, errors(by_gastube, reference));
    print_run(t, "IDA", *ida, ida->seconds, errors(latch::IdaLatch({}, false, t).run(latch::sample_times), reference));
  }
}
#endif

}  // namespace

int main(int count, char** arguments) {
  register_all();
  benchmark::Initialize(&count, arguments);
  if (benchmark::ReportUnrecognizedArguments(count, arguments)) return 1;
  Collector costs;
  benchmark::RunSpecifiedBenchmarks(&costs);
  print_steps(costs);
  check_by_hand();
#ifdef GASTUBE_HAVE_SUNDIALS
  print_runs(costs);
#endif
  return 0;
}
