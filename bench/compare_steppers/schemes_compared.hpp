// SPDX-License-Identifier: MIT
#pragma once
/// The library's schemes in the race: one line each.

#include <gastube/stepping/schemes.hpp>

#include "circuits.hpp"
#include "problem.hpp"

#include <cstdlib>
#include <initializer_list>
#include <memory>
#include <utility>

namespace compare {

/// Writes down the events of a run.
struct Notes {
  Outcome& out;
  void change(double time, const gastube::Change& change) {
    out.note(time, std::atoi(change.subject), change.to == conducting);
  }
};

/// Collects methods for one circuit.
template <class Circuit>
class Race {
 public:
  using Settings = gastube::Settings<double>;

  /// @param filament part whose own unknown is the temperature, if there is one
  Race(Circuit circuit, double end, std::size_t filament = no_filament)
      : circuit_(std::move(circuit)), end_(end), filament_(filament) {}
  /// s; see the settings.
  Race restarting_with(double step) && {
    settings_.restart_step = step;
    return std::move(*this);
  }

  template <class Scheme>
  void fixed_step(double step) {
    Settings settings = settings_;
    settings.fixed_step = step;
    add<Scheme>(Scheme::name, 0, settings);
  }
  template <class Scheme>
  void to_tolerance(std::initializer_list<double> tolerances) {
    for (const double tolerance : tolerances) {
      Settings settings = settings_;
      settings.relative = tolerance;
      settings.absolute = 0.1 * tolerance;
      add<Scheme>(Scheme::name, tolerance, settings);
    }
  }
  /// A scheme without tolerance. It keeps what it learns of the circuit's states, so its second run is shown too.
  template <class Scheme>
  void exactly() {
    add<Scheme>(Scheme::name, 0, settings_);
    methods_.push_back({std::string(Scheme::name) + ", warm", 0, warm<Scheme>(), false});
  }

  std::vector<Method> take() { return std::move(methods_); }
  static constexpr std::size_t no_filament = static_cast<std::size_t>(-1);

 private:
  template <class Scheme>
  void add(const std::string& name, double tolerance, const Settings& settings) {
    methods_.push_back({name, tolerance,
                        [circuit = circuit_, end = end_, filament = filament_, settings](Outcome& out) {
                          auto run = gastube::start<Scheme>(circuit, settings);
                          go(run, end, filament, out);
                        },
                        tolerance > 0 || settings.fixed_step > 0});
  }
  template <class Scheme>
  [[nodiscard]] std::function<void(Outcome&)> warm() {
    using Stepper = decltype(gastube::start<Scheme>(circuit_, Settings{}));
    struct Kept {
      std::unique_ptr<Stepper> stepper;
      std::unique_ptr<typename Stepper::State> start;
    };
    auto kept = std::make_shared<Kept>();
    return [circuit = circuit_, end = end_, filament = filament_, settings = settings_, kept](Outcome& out) {
      if (!kept->stepper) {
        kept->stepper = std::make_unique<Stepper>(gastube::start<Scheme>(circuit, settings));
        kept->start = std::make_unique<typename Stepper::State>(kept->stepper->state());
      } else {
        kept->stepper->restore(*kept->start);
      }
      go(*kept->stepper, end, filament, out);
    };
  }
  template <class Run>
  static void go(Run& run, double end, std::size_t filament, Outcome& out) {
    const long steps = run.steps(), located = run.located();
    const gastube::Status status = run.run_until(end, Notes{out});
    if (!gastube::succeeded(status)) out.failure = gastube::name(status);
    out.steps = run.steps() - steps;
    out.solves = run.located() - located;
    if (filament != no_filament) out.temperature = gastube::own_unknown(run, filament);
  }

  Circuit circuit_;
  double end_;
  std::size_t filament_;
  Settings settings_{};
  std::vector<Method> methods_;
};

/// The schemes in the race, in two halves since they take their time to compile.
template <class Circuit>
void add_plain_schemes(Race<Circuit>& race, const Problem& problem) {
  race.template fixed_step<gastube::BackwardEuler>(problem.fixed_step);
  race.template fixed_step<gastube::Trapezoidal>(problem.fixed_step);
  race.template to_tolerance<gastube::TrBdf2>({1e-4, 1e-6, 1e-8});
}
template <class Circuit>
void add_fine_schemes(Race<Circuit>& race) {
  race.template to_tolerance<gastube::Esdirk4>({1e-4, 1e-5, 1e-6, 1e-9});
  race.template to_tolerance<gastube::Rodas5P>({1e-4, 1e-5, 1e-6, 1e-9});
}

template <class Circuit>
[[nodiscard]] std::vector<Method> plain_schemes(Race<Circuit> race, const Problem& problem) {
  add_plain_schemes(race, problem);
  return race.take();
}
template <class Circuit>
[[nodiscard]] std::vector<Method> fine_schemes(Race<Circuit> race) {
  add_fine_schemes(race);
  return race.take();
}

template <class Circuit>
[[nodiscard]] std::vector<Method> exact_scheme_on(Race<Circuit> race) {
  race.template exactly<gastube::Exact>();
  return race.take();
}

// ---- races on the circuits that need more than a line
/// The coupling capacitor is the only charge at its two nodes: a shorter restart step leaves too few digits of what
/// they have in common for tight tolerances.
[[nodiscard]] inline auto flip_flop_race() { return Race(flip_flop_circuit(), flip_flop.end).restarting_with(1e-8); }
[[nodiscard]] inline auto lamp_race(const Problem& problem) {
  const auto circuit = lamp_circuit();
  return Race(circuit, problem.kind == "P4day" ? 86400 : LampLatch{}.end, circuit.find("filament"));
}
template <std::size_t Count>
[[nodiscard]] auto ring_race(const Problem& problem) {
  Ring ring;
  ring.count = problem.count;
  return Race(ring_circuit<Count>(ring), ring.end());
}

}  // namespace compare
