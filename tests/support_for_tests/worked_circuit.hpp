// SPDX-License-Identifier: MIT
#pragma once
/// A worked circuit as a value, and a run of it by a scheme chosen at run time, with its events and its energy written
/// down. Each scheme is compiled once, in worked/by_*.cpp, for all tests that call these.

#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/contact.hpp>
#include <gastube/circuit/current_source.hpp>
#include <gastube/circuit/inductor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/circuit/voltmeter.hpp>
#include <gastube/circuit/wired_tube.hpp>
#include <gastube/stepping/settings.hpp>
#include <gastube/tube/family/ideal.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/event_log.hpp"
#include "support_for_tests/level_watch.hpp"

#include <doctest/doctest.h>

#include <memory>
#include <ostream>
#include <vector>

namespace worked {

/// Recovers at once.
using Tube = gastube::Thyratron<gastube::IdealLaws<double, gastube::InstantRecovery<double>>>;
/// Recovers after a fixed time.
using TimedTube = gastube::Thyratron<gastube::IdealLaws<double, gastube::FixedDeionisation<double>>>;
using SteadyCurrent = gastube::CurrentSource<gastube::SteadyWave<double>>;

/// Parts by kind; labels serve to ask for them.
struct Circuit {
  std::size_t nodes;  ///< with ground
  std::vector<gastube::DcSource<double>> sources = {};
  std::vector<gastube::PulseSource<double>> pulses = {};
  std::vector<gastube::SineSource<double>> sines = {};
  std::vector<SteadyCurrent> currents = {};
  std::vector<gastube::Resistor<double>> resistors = {};
  std::vector<gastube::Capacitor<double>> capacitors = {};
  std::vector<gastube::Inductor<double>> inductors = {};
  std::vector<gastube::Contact<double>> contacts = {};
  std::vector<gastube::PushButton<double, 1>> buttons = {};
  std::vector<gastube::WiredTube<Tube>> tubes = {};
  std::vector<gastube::WiredTube<TimedTube>> timed_tubes = {};
  std::vector<gastube::Voltmeter<double>> meters = {};
  std::vector<LevelWatch<double>> watches = {};
};

/// A run with its books.
class Run {
 public:
  virtual ~Run() = default;
  virtual gastube::Status run_until(double time) = 0;
  /// Until right after the next event.
  virtual gastube::Status next_event(double limit) = 0;
  virtual gastube::Status set_contact(std::size_t contact, bool closed) = 0;
  virtual gastube::Status set_source(std::size_t source, double volts) = 0;
  [[nodiscard]] virtual double time() const = 0;
  [[nodiscard]] virtual double voltage(gastube::Node node) const = 0;
  [[nodiscard]] virtual double current(const char* label) const = 0;
  [[nodiscard]] virtual gastube::TubeState state(const char* label) const = 0;
  /// V s and V^2 s of a meter since the start.
  [[nodiscard]] virtual double area(const char* meter) const = 0;
  [[nodiscard]] virtual double square(const char* meter) const = 0;
  [[nodiscard]] virtual long steps() const = 0;
  /// Residue of the energy's books as a share of what moved, and charge that came from nowhere in jumps.
  [[nodiscard]] virtual double energy_gap() const = 0;
  [[nodiscard]] virtual double charge_gap() const = 0;

  /// When `subject` entered state `to`.
  [[nodiscard]] std::vector<double> times(const char* subject, const char* to) const { return log.times(subject, to); }
  [[nodiscard]] std::size_t count(const char* subject, const char* to) const { return log.count(subject, to); }
  /// Goes on until `subject` enters state `to`; returns when.
  double until(const char* subject, const char* to, double limit) {
    const std::size_t before = count(subject, to);
    while (count(subject, to) == before) {
      REQUIRE(time() < limit);
      REQUIRE(succeeded(next_event(limit)));
    }
    return times(subject, to).back();
  }

  EventLog<double> log;
};

/// A scheme, how finely it steps, and how near it must come.
struct Way {
  const char* name;
  std::unique_ptr<Run> (*start)(const Circuit&, const gastube::Settings<double>&, bool settled);
  double error;   ///< allowed a step, relative and absolute
  double digits;  ///< gap allowed to a value of nine digits or a closed form
  double six;     ///< the same to a value printed to six digits
  double energy;  ///< gap allowed in the books: energy is a square, and errs twice as much
};
inline std::ostream& operator<<(std::ostream& out, const Way& way) { return out << way.name; }

[[nodiscard]] std::unique_ptr<Run> start_exact(const Circuit&, const gastube::Settings<double>&, bool settled);
[[nodiscard]] std::unique_ptr<Run> start_tr_bdf2(const Circuit&, const gastube::Settings<double>&, bool settled);
[[nodiscard]] std::unique_ptr<Run> start_rodas5p(const Circuit&, const gastube::Settings<double>&, bool settled);

inline constexpr Way exact{"exact", start_exact, 1e-6, 1e-8, 1e-5, 1e-9};
inline constexpr Way tr_bdf2{"TR-BDF2", start_tr_bdf2, 1e-6, 1e-4, 1e-4, 2e-4};
inline constexpr Way rodas5p{"RODAS5P", start_rodas5p, 1e-6, 1e-4, 1e-4, 2e-4};
/// Every worked circuit of straight lines is run in each of these ways.
inline constexpr Way ways[] = {exact, tr_bdf2, rodas5p};
/// For the few that the exact scheme does not yet get right.
inline constexpr Way stepped[] = {tr_bdf2, rodas5p};

/// @param longest_step s; needed by stepping schemes alone, where only sources without charge set the pace
[[nodiscard]] inline std::unique_ptr<Run> start(const Circuit& circuit, const Way& way, double longest_step = 1e30,
                                                bool settled = false) {
  return way.start(circuit, {.relative = way.error, .absolute = way.error, .longest_step = longest_step}, settled);
}
/// Checks the books of all that this run has done.
inline void check_books(const Run& run, const Way& way) {
  CHECK(run.energy_gap() < way.energy);
  CHECK(run.charge_gap() < way.energy);
}

}  // namespace worked
