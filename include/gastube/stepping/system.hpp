// SPDX-License-Identifier: MIT
#pragma once
/// What the steppers see: a hybrid system of charges and currents that changes mode at events. No physics here.
///
/// Between events the unknowns x obey   d/dt q(x) + f(t, x, y) = 0,   where rows without charge are algebraic;
/// the followers y obey   dy/dt = source(t, x) - decay * y,   with a decay that stays while the mode lasts.
/// Followers act on guards, and on f only in modes where their source does not depend on x.
///
/// Minimum a system writes (System s; Instant<S> at; Mode mode):
///   | expression                      | meaning                                                                    |
///   | System::Scalar, System::Mode    | scalar; copyable discrete state                                            |
///   | System::extent                  | number of unknowns at compile time, or dynamic_extent                      |
///   | System::follower_extent         | the same for followers                                                     |
///   | s.unknowns(), s.followers()     | their numbers                                                              |
///   | s.nominal(k)                    | size of unknown k that counts as ordinary, > 0, for tolerances             |
///   | s.write(at, mode, equations)    | charges, currents and slopes, see Equations                                |
///   | s.follow(at, mode, rates)       | fills rates[k] = {source, decay}                                           |
///   | s.guards()                      | number of guards                                                           |
///   | s.guard(k, at, mode)            | positive while the mode lasts; its fall through zero is event k            |
///   | s.opens(k, mode)                | true if event k breaks a current, which then takes an impulse back         |
///   | s.fire(k, at, mode, y)          | changes mode (and followers) at event k; returns a Change                  |
///   | s.next_breakpoint(t, mode)      | earliest known time > t at which a source or schedule has a corner          |
///   | s.pass_breakpoint(t, mode)      | enters what begins at t                                                    |
/// Optional, for parts whose guards ask how stiffly the rest of the system holds them:
///   | s.ports(), s.port(k, mode)      | number of ports; a Port                                                    |
///   | s.accept_port(k, reading, mode) | takes the PortReading                                                      |
///   | s.slow(k)                       | true if unknown k is held while a port is measured (a temperature)         |
/// Optional, to save work:
///   | System::followers_act           | false if only guards look at followers, in every mode                      |
/// Optional, where time alone moves a guard and no error estimate sees it:
///   | s.longest_step(mode)            | s, so long that no guard can fall and rise again unseen, > 0               |

#include "gastube/support/entry_log.hpp"
#include "gastube/support/math.hpp"
#include "gastube/support/storage.hpp"

#include <concepts>
#include <cstddef>

namespace gastube {

/// Time, unknowns and followers at one instant, as seen by a system. Views, never owning.
template <Real S>
struct Instant {
  S time;      ///< s
  const S* x;  ///< unknowns
  const S* y;  ///< followers
};

/// Rate of one follower: dy/dt = source - decay * y.
template <Real S>
struct FollowRate {
  S source = S(0);  ///< per second
  S decay = S(0);   ///< per second, >= 0
};

/// What changed at an event, in words that outlive the run (string literals).
struct Change {
  const char* subject = "";  ///< which part
  const char* from = "";     ///< state before
  const char* to = "";       ///< state after
  const char* why = "";      ///< the guard that fell, in words
};

/// Two unknowns between which a part looks out into the rest of the system.
struct Port {
  static constexpr std::size_t no_row = static_cast<std::size_t>(-1);
  std::size_t plus = no_row, minus = no_row;  ///< rows of the two potentials; no_row is ground
  std::size_t branch = no_row;                ///< row of the part's own current, held while measuring
  bool wanted = false;                        ///< measure at every event
  bool urgent = false;                        ///< measure after every step too
};

/// What the rest of the system shows at a port while the part draws nothing: at once, with charges and fluxes as they
/// are; and steadily, when charging currents have died away and sources stay as they are.
template <Real S>
struct PortReading {
  S resistance = S(0);                ///< V per A, at once
  S steady_voltage = unlimited<S>();  ///< V
  S steady_resistance = S(0);         ///< V per A
};

/// Where slopes are written to: a row-major array, a log of entries for a sparse matrix, or nowhere.
template <Real S>
struct SlopeTarget {
  S* dense = nullptr;
  EntryLog<S>* log = nullptr;

  SlopeTarget(S* matrix) : dense(matrix) {}
  SlopeTarget(EntryLog<S>* entries) : log(entries) {}
  SlopeTarget(std::nullptr_t) {}
};

/// Collects one evaluation: charge increments since the start of the step, currents, and the matrix
/// dq/dx + alpha df/dx that an implicit stage of weight alpha needs. Written as increments, charges lose no digits
/// however short the step.
template <Real S>
class Equations {
 public:
  /// @param x unknowns now, @param base unknowns at the start of the step, both of `size`
  /// @param slopes row-major matrix or log of entries, or null if no slopes are wanted
  /// @param change x - base with the digits that x itself has no room for, or null if there are none
  Equations(std::size_t size, const S* x, const S* base, const S& alpha, S* charges, S* currents,
            const SlopeTarget<S>& slopes, const S* change = nullptr)
      : stride_(slopes.log != nullptr ? logged : size)
      , x_(x)
      , base_(base)
      , change_(change)
      , alpha_(alpha)
      , charges_(charges)
      , currents_(currents)
      , slopes_(slopes.log != nullptr ? currents : slopes.dense)
      , log_(slopes.log) {
    for (std::size_t k = 0; k < size; ++k) charges[k] = currents[k] = S(0);
    if (log_)
      log_->begin();
    else if (slopes_)
      for (std::size_t k = 0; k < size * size; ++k) slopes_[k] = S(0);
  }

  /// Adds to current row `row` (row of f).
  void flow(std::size_t row, const S& value) { currents_[row] += value; }
  /// Adds df[row]/dx[column].
  void flow_slope(std::size_t row, std::size_t column, const S& slope) {
    if (slopes_) add_slope(row, column, S(alpha_ * slope));
  }
  /// Adds the linear charge capacity * x[column] to row `row`.
  void store(std::size_t row, std::size_t column, const S& capacity) {
    charges_[row] += capacity * (change_ ? change_[column] : S(x_[column] - base_[column]));
    if (slopes_) add_slope(row, column, capacity);
  }
  /// Value of an unknown at the start of the step, for nonlinear charges.
  [[nodiscard]] const S& base(std::size_t column) const { return base_[column]; }
  /// Adds a nonlinear charge's increment since the start of the step.
  void store_increment(std::size_t row, const S& increment) {
    charges_[row] += increment;
    nonlinear_charge_ = true;
  }
  /// True once a nonlinear charge was written.
  [[nodiscard]] bool has_nonlinear_charge() const noexcept { return nonlinear_charge_; }
  /// Adds dq[row]/dx[column] of a nonlinear charge.
  void store_slope(std::size_t row, std::size_t column, const S& slope) {
    if (slopes_) add_slope(row, column, slope);
  }
  /// V per A that an equation which states a voltage is to give way by, 0 but when a loop of such equations is looked
  /// into.
  [[nodiscard]] const S& give() const { return give_; }
  void give_way(const S& ohms) { give_ = ohms; }

 private:
  static constexpr std::size_t logged = 0;  // no array has rows of this length

  void add_slope(std::size_t row, std::size_t column, const S& slope) {
    if (stride_ == logged) [[unlikely]]
      log_->put(row, column, slope);
    else
      slopes_[row * stride_ + column] += slope;
  }

  std::size_t stride_;  // of the array of slopes
  const S* x_;
  const S* base_;
  const S* change_;
  S alpha_;
  S* charges_;
  S* currents_;
  S* slopes_;  // not null if slopes are wanted
  EntryLog<S>* log_;
  S give_ = S(0);
  bool nonlinear_charge_ = false;
};

/// A system that the steppers can run; the table above says what each expression means.
template <class System>
concept HybridSystem = Real<typename System::Scalar> && std::copyable<typename System::Mode> && requires(
    const System& s, typename System::Mode& mode, const typename System::Mode& seen, std::size_t k,
    Instant<typename System::Scalar> at, Equations<typename System::Scalar>& equations,
    FollowRate<typename System::Scalar>* rates, typename System::Scalar* y) {
  { System::extent } -> std::convertible_to<std::size_t>;
  { System::follower_extent } -> std::convertible_to<std::size_t>;
  { s.unknowns() } -> std::convertible_to<std::size_t>;
  { s.followers() } -> std::convertible_to<std::size_t>;
  { s.nominal(k) } -> std::convertible_to<Plain<typename System::Scalar>>;
  s.write(at, seen, equations);
  s.follow(at, seen, rates);
  { s.guards() } -> std::convertible_to<std::size_t>;
  { s.guard(k, at, seen) } -> std::convertible_to<typename System::Scalar>;
  { s.opens(k, seen) } -> std::convertible_to<bool>;
  { s.fire(k, at, mode, y) } -> std::convertible_to<Change>;
  { s.next_breakpoint(at.time, seen) } -> std::convertible_to<typename System::Scalar>;
  s.pass_breakpoint(at.time, mode);
};

}  // namespace gastube
