// SPDX-License-Identifier: MIT
#pragma once
/// The books of a run's energy: what sources delivered is what was dissipated, stored, and lost in jumps. They close to
/// rounding with the exact scheme and to its accuracy with any other, or the run is wrong.
///   auto run = start(audited(circuit));  EnergyBalance balance(run);
///   run.run_until(0.1, balance);  balance.book(run).share();
///
/// Parts tell what applies of delivered(), dissipated() and stored(); see part.hpp.

#include "gastube/circuit/run.hpp"
#include "gastube/stepping/impulse.hpp"

#include <algorithm>
#include <vector>

namespace gastube {

namespace detail {
template <class Part>
using MemoryOfPart = typename MemoryOf<Part>::type;
template <class Part>
using ViewOfPart = PartView<typename Part::Scalar>;
template <class Part>
concept TellsDelivered = requires(const Part part, const ViewOfPart<Part> at, const MemoryOfPart<Part> m) {
  part.delivered(at, m);
};
template <class Part>
concept TellsDissipated = requires(const Part part, const ViewOfPart<Part> at, const MemoryOfPart<Part> m) {
  part.dissipated(at, m);
};
template <class Part>
concept TellsStored = requires(const Part part, const ViewOfPart<Part> at, const MemoryOfPart<Part> m) {
  part.stored(at, m);
};
}  // namespace detail

/// A part that tells its energy. One that draws nothing says so by dissipated() = 0.
template <class Part>
concept TellingPart = detail::TellsDelivered<Part> || detail::TellsDissipated<Part> || detail::TellsStored<Part>;

namespace detail {
/// Names the part in the compiler's message.
template <class Part>
struct PartThatTellsItsEnergy {
  static_assert(TellingPart<Part>, "this part tells none of delivered(), dissipated() and stored(), so the energy of "
                                   "its circuit cannot be balanced; see circuit/part.hpp");
  static constexpr bool value = TellingPart<Part>;
};
template <class Wired>
inline constexpr bool all_tell = false;
template <std::size_t Nodes, class... Entries>
inline constexpr bool all_tell<Circuit<Nodes, Entries...>> =
    (PartThatTellsItsEnergy<typename EntryOf<Entries>::Part>::value && ...);

template <class Part, Real S>
[[nodiscard]] S delivered_by(const Part& part, const PartView<S>& at, const auto& memory) {
  if constexpr (TellsDelivered<Part>)
    return part.delivered(at, memory);
  else
    return S(0);
}
template <class Part, Real S>
[[nodiscard]] S dissipated_by(const Part& part, const PartView<S>& at, const auto& memory) {
  if constexpr (TellsDissipated<Part>)
    return part.dissipated(at, memory);
  else
    return S(0);
}
template <class Part, Real S>
[[nodiscard]] S stored_by(const Part& part, const PartView<S>& at, const auto& memory) {
  if constexpr (TellsStored<Part>)
    return part.stored(at, memory);
  else
    return S(0);
}
}  // namespace detail

/// A circuit with two followers more, after its own: J delivered and J dissipated since the start of the run. Runs as
/// the circuit does: the exact scheme integrates them along its closed form, the others step them.
template <class Wired>
class Audited : public Wired {
 public:
  static_assert(detail::all_tell<Wired>);
  using S = typename Wired::Scalar;
  using Mode = typename Wired::Mode;
  static constexpr std::size_t follower_extent = extent_sum(Wired::follower_extent, 2);

  explicit Audited(const Wired& circuit) : Wired(circuit) {}

  [[nodiscard]] std::size_t followers() const { return Wired::followers() + 2; }
  void follow(const Instant<S>& at, const Mode& mode, FollowRate<S>* rates) const {
    Wired::follow(at, mode, rates);
    rates[Wired::followers()] = {delivered(at, mode), S(0)};
    rates[Wired::followers() + 1] = {dissipated(at, mode), S(0)};
  }
  [[nodiscard]] bool follows_straight(std::size_t k) const {
    return k < Wired::followers() && Wired::follows_straight(k);
  }

  /// W that all sources deliver, now.
  [[nodiscard]] S delivered(const Instant<S>& at, const Mode& mode) const {
    S sum(0);
    this->look(at, mode, [&](const auto& part, const auto& view, const auto& memory) {
      sum += detail::delivered_by(part, view, memory);
    });
    return sum;
  }
  /// W that all parts turn into heat, light or other work, now.
  [[nodiscard]] S dissipated(const Instant<S>& at, const Mode& mode) const {
    S sum(0);
    this->look(at, mode, [&](const auto& part, const auto& view, const auto& memory) {
      sum += detail::dissipated_by(part, view, memory);
    });
    return sum;
  }
  /// J delivered and dissipated since the start of the run.
  [[nodiscard]] const S& delivered_till(const Instant<S>& at) const { return at.y[Wired::followers()]; }
  [[nodiscard]] const S& dissipated_till(const Instant<S>& at) const { return at.y[Wired::followers() + 1]; }
};

/// The circuit, with its energy counted. Refused, with the part named, if a part does not tell its energy.
template <std::size_t Nodes, class... Entries>
[[nodiscard]] Audited<Circuit<Nodes, Entries...>> audited(const Circuit<Nodes, Entries...>& circuit) {
  return Audited<Circuit<Nodes, Entries...>>(circuit);
}

/// What happened to the energy between two moments of a run, J.
template <std::floating_point P>
struct EnergyBook {
  P delivered = P(0);      ///< by sources, that of impulses included
  P dissipated = P(0);     ///< in parts, while time passed
  P stored_change = P(0);  ///< in charges and fluxes
  /// At jumps: charge shared in no time, currents broken, work of a relay's armature. Without relays, and as long as
  /// nobody alters capacitances, it is not below 0.
  P lost = P(0);
  P stored_swing = P(0);  ///< sum over parts of their greatest less their least, as seen

  /// What is missing; 0 but for rounding if all is right.
  [[nodiscard]] P residue() const { return delivered - dissipated - stored_change - lost; }
  /// The greatest of the amounts moved.
  [[nodiscard]] P moved() const {
    return std::max({math::abs(delivered), math::abs(dissipated), math::abs(lost), stored_swing});
  }
  /// The residue as a share of the energy moved; 0 where nothing moved.
  [[nodiscard]] P share() const { return residue() == P(0) ? P(0) : math::abs(residue()) / moved(); }
};

/// Observer that keeps the books of a run of an audited circuit from its construction on. Give it to every step, and to
/// alter(). A run whose step failed cannot be booked on.
template <class System>
class EnergyBalance {
 public:
  using S = typename System::Scalar;
  using P = Plain<S>;

  template <class Run>
  explicit EnergyBalance(const Run& run)
      : delivered_(value_of(run.system().delivered_till(run.instant())))
      , dissipated_(value_of(run.system().dissipated_till(run.instant()))) {
    note(run);
    stored_at_start_ = stored_;
  }

  template <class Run>
  void step(const Run& run) {
    note(run);
  }
  template <class Run>
  void arrive(const Run& run) {
    note(run);
  }
  template <class Run>
  void jump(const Run& run) {
    const P before = stored_;
    static_cast<void>(impulse_.find(run.system(), run.mode(), {time_, x_.data(), y_.data()}, run.instant()));
    missing_ = std::max(missing_, impulse_.missing());
    charges_ = std::max(charges_, impulse_.greatest());
    const P delivered = delivered_at_once(run);
    note(run);
    jump_delivered_ += delivered;
    lost_ += delivered - (stored_ - before);
    least_lost_ = std::min(least_lost_, delivered - (stored_ - before));
  }

  /// The books up to now.
  template <class Run>
  [[nodiscard]] EnergyBook<P> book(const Run& run) const {
    EnergyBook<P> book;
    book.delivered = value_of(run.system().delivered_till(run.instant())) - delivered_ + jump_delivered_;
    book.dissipated = value_of(run.system().dissipated_till(run.instant())) - dissipated_;
    book.stored_change = stored_ - stored_at_start_;
    book.lost = lost_;
    for (const Range& range : ranges_) book.stored_swing += range.greatest - range.least;
    return book;
  }
  /// The least that any one jump lost, J; below 0 (by more than rounding) where one made energy.
  [[nodiscard]] P least_lost() const noexcept { return least_lost_; }
  /// Charge that came from nowhere in any one jump, as a share of the most there was at any: 0 but for rounding. (A
  /// jump while all is empty has nothing but rounding to be a share of.)
  [[nodiscard]] P charge_error() const noexcept { return missing_ > P(0) ? missing_ / charges_ : P(0); }

 private:
  struct Range {
    P least, greatest;
  };

  /// Looks at the run as it is.
  template <class Run>
  void note(const Run& run) {
    const Instant<S> now = run.instant();
    time_ = now.time;
    x_.assign(now.x, now.x + run.system().unknowns());
    y_.assign(now.y, now.y + run.system().followers());
    stored_ = P(0);
    std::size_t number = 0;
    run.system().look(now, run.mode(), [&](const auto& part, const auto& view, const auto& memory) {
      const P held = value_of(detail::stored_by(part, view, memory));
      stored_ += held;
      if (number == ranges_.size()) ranges_.push_back({held, held});
      Range& range = ranges_[number++];
      range = {std::min(range.least, held), std::max(range.greatest, held)};
    });
  }
  /// J that impulses brought from the sources. A power is a sum of products of a voltage and a current, of which one
  /// goes straight from its value before the jump to that after it while the other has its impulse.
  template <class Run>
  [[nodiscard]] P delivered_at_once(const Run& run) {
    const P shortness = P(1e9);  // per second; any will do, this one leaves ordinary currents small beside impulses
    const auto with = [&](P sign) {
      middle_.clear();
      for (std::size_t k = 0; k < x_.size(); ++k)
        middle_.push_back(
            S(P(0.5) * value_of(S(x_[k] + run.instant().x[k])) + sign * shortness * impulse_.passed()[k]));
      return value_of(run.system().delivered({run.time(), middle_.data(), run.instant().y}, run.mode()));
    };
    return (with(P(1)) - with(P(-1))) / (P(2) * shortness);
  }

  P delivered_, dissipated_;
  P stored_ = P(0), stored_at_start_ = P(0), jump_delivered_ = P(0), lost_ = P(0);
  P least_lost_ = P(0);
  P missing_ = P(0), charges_ = P(0);  // in jumps, as Impulse has them
  S time_ = S(0);
  std::vector<S> x_, y_, middle_;
  std::vector<Range> ranges_;
  Impulse<System> impulse_;
};
template <class Run>
EnergyBalance(const Run&) -> EnergyBalance<std::decay_t<decltype(std::declval<const Run&>().system())>>;

}  // namespace gastube
