// SPDX-License-Identifier: MIT
#pragma once
/// Runs circuits of every type by one and the same stepper: it sees a circuit through virtual functions only, at a size
/// known at run time, and so is compiled once a scalar and scheme instead of once a circuit. For tests of parts; where
/// the stepping itself is tested, start() is what a user has.

#include <gastube/circuit/run.hpp>

#include <any>
#include <functional>
#include <memory>
#include <utility>

/// What a stepper asks of a circuit.
template <class S>
struct CircuitFace {
  virtual ~CircuitFace() = default;
  [[nodiscard]] virtual std::unique_ptr<CircuitFace> clone() const = 0;
  virtual void start_unknowns(S* x) const = 0;
  [[nodiscard]] virtual std::size_t unknowns() const = 0;
  [[nodiscard]] virtual std::size_t followers() const = 0;
  [[nodiscard]] virtual std::size_t guards() const = 0;
  [[nodiscard]] virtual std::size_t ports() const = 0;
  [[nodiscard]] virtual std::size_t pattern_size() const = 0;
  [[nodiscard]] virtual gastube::Plain<S> nominal(std::size_t k) const = 0;
  [[nodiscard]] virtual bool slow(std::size_t k) const = 0;
  virtual void write(const gastube::Instant<S>& at, const std::any& mode, gastube::Equations<S>& equations) const = 0;
  virtual void follow(const gastube::Instant<S>& at, const std::any& mode, gastube::FollowRate<S>* rates) const = 0;
  [[nodiscard]] virtual S guard(std::size_t k, const gastube::Instant<S>& at, const std::any& mode) const = 0;
  [[nodiscard]] virtual bool opens(std::size_t k, const std::any& mode) const = 0;
  virtual gastube::Change fire(std::size_t k, const gastube::Instant<S>& at, std::any& mode, S* y) const = 0;
  [[nodiscard]] virtual S next_breakpoint(const S& time, const std::any& mode) const = 0;
  virtual void pass_breakpoint(const S& time, std::any& mode) const = 0;
  [[nodiscard]] virtual S longest_step(const std::any& mode) const = 0;
  [[nodiscard]] virtual gastube::Port port(std::size_t k, const std::any& mode) const = 0;
  virtual void accept_port(std::size_t k, const gastube::PortReading<S>& reading, std::any& mode) const = 0;
  [[nodiscard]] virtual S steady_need(std::size_t k, const std::any& mode) const = 0;
  virtual void pattern(const std::any& mode, unsigned char* numbers) const = 0;
  virtual void drives(const S& time, const std::any& mode,
                      const std::function<void(const gastube::Drive<S>&)>& take) const = 0;
  [[nodiscard]] virtual bool margin(std::size_t k, const std::any& mode, gastube::Margin<S>& margin) const = 0;
  [[nodiscard]] virtual bool follows_straight(std::size_t k) const = 0;
};

template <class Wired>
struct CircuitBehindFace final : CircuitFace<typename Wired::Scalar> {
  using S = typename Wired::Scalar;
  using Mode = typename Wired::Mode;
  Wired circuit;

  explicit CircuitBehindFace(const Wired& wired) : circuit(wired) {}
  [[nodiscard]] static const Mode& of(const std::any& mode) { return *std::any_cast<Mode>(&mode); }
  [[nodiscard]] static Mode& of(std::any& mode) { return *std::any_cast<Mode>(&mode); }

  [[nodiscard]] std::unique_ptr<CircuitFace<S>> clone() const override {
    return std::make_unique<CircuitBehindFace>(circuit);
  }
  void start_unknowns(S* x) const override { circuit.start_unknowns(x); }
  [[nodiscard]] std::size_t unknowns() const override { return circuit.unknowns(); }
  [[nodiscard]] std::size_t followers() const override { return circuit.followers(); }
  [[nodiscard]] std::size_t guards() const override { return circuit.guards(); }
  [[nodiscard]] std::size_t ports() const override { return circuit.ports(); }
  [[nodiscard]] std::size_t pattern_size() const override { return circuit.pattern_size(); }
  [[nodiscard]] gastube::Plain<S> nominal(std::size_t k) const override { return circuit.nominal(k); }
  [[nodiscard]] bool slow(std::size_t k) const override { return circuit.slow(k); }
  void write(const gastube::Instant<S>& at, const std::any& mode, gastube::Equations<S>& equations) const override {
    circuit.write(at, of(mode), equations);
  }
  void follow(const gastube::Instant<S>& at, const std::any& mode, gastube::FollowRate<S>* rates) const override {
    circuit.follow(at, of(mode), rates);
  }
  [[nodiscard]] S guard(std::size_t k, const gastube::Instant<S>& at, const std::any& mode) const override {
    return circuit.guard(k, at, of(mode));
  }
  [[nodiscard]] bool opens(std::size_t k, const std::any& mode) const override { return circuit.opens(k, of(mode)); }
  gastube::Change fire(std::size_t k, const gastube::Instant<S>& at, std::any& mode, S* y) const override {
    return circuit.fire(k, at, of(mode), y);
  }
  [[nodiscard]] S next_breakpoint(const S& time, const std::any& mode) const override {
    return circuit.next_breakpoint(time, of(mode));
  }
  void pass_breakpoint(const S& time, std::any& mode) const override { circuit.pass_breakpoint(time, of(mode)); }
  [[nodiscard]] S longest_step(const std::any& mode) const override { return circuit.longest_step(of(mode)); }
  [[nodiscard]] gastube::Port port(std::size_t k, const std::any& mode) const override {
    return circuit.port(k, of(mode));
  }
  void accept_port(std::size_t k, const gastube::PortReading<S>& reading, std::any& mode) const override {
    circuit.accept_port(k, reading, of(mode));
  }
  [[nodiscard]] S steady_need(std::size_t k, const std::any& mode) const override {
    return circuit.steady_need(k, of(mode));
  }
  void pattern(const std::any& mode, unsigned char* numbers) const override { circuit.pattern(of(mode), numbers); }
  void drives(const S& time, const std::any& mode,
              const std::function<void(const gastube::Drive<S>&)>& take) const override {
    circuit.drives(time, of(mode), take);
  }
  [[nodiscard]] bool margin(std::size_t k, const std::any& mode, gastube::Margin<S>& margin) const override {
    return circuit.margin(k, of(mode), margin);
  }
  [[nodiscard]] bool follows_straight(std::size_t k) const override { return circuit.follows_straight(k); }
};

/// The hybrid system behind such a face.
template <class S, bool Linear>
class FacedSystem {
 public:
  using Scalar = S;
  using Mode = std::any;
  static constexpr std::size_t extent = gastube::dynamic_extent, follower_extent = extent, pattern_extent = extent;
  static constexpr bool piecewise_linear = Linear;

  explicit FacedSystem(std::unique_ptr<CircuitFace<S>> face) : face_(std::move(face)) {}
  FacedSystem(const FacedSystem& other) : face_(other.face_->clone()) {}
  FacedSystem(FacedSystem&&) noexcept = default;
  FacedSystem& operator=(const FacedSystem& other) {
    face_ = other.face_->clone();
    return *this;
  }
  FacedSystem& operator=(FacedSystem&&) noexcept = default;
  ~FacedSystem() = default;

  [[nodiscard]] CircuitFace<S>& face() const { return *face_; }

  [[nodiscard]] std::size_t unknowns() const { return face_->unknowns(); }
  [[nodiscard]] std::size_t followers() const { return face_->followers(); }
  [[nodiscard]] std::size_t guards() const { return face_->guards(); }
  [[nodiscard]] std::size_t ports() const { return face_->ports(); }
  [[nodiscard]] std::size_t pattern_size() const { return face_->pattern_size(); }
  [[nodiscard]] gastube::Plain<S> nominal(std::size_t k) const { return face_->nominal(k); }
  [[nodiscard]] bool slow(std::size_t k) const { return face_->slow(k); }
  void write(const gastube::Instant<S>& at, const Mode& mode, gastube::Equations<S>& equations) const {
    face_->write(at, mode, equations);
  }
  void follow(const gastube::Instant<S>& at, const Mode& mode, gastube::FollowRate<S>* rates) const {
    face_->follow(at, mode, rates);
  }
  [[nodiscard]] S guard(std::size_t k, const gastube::Instant<S>& at, const Mode& mode) const {
    return face_->guard(k, at, mode);
  }
  [[nodiscard]] bool opens(std::size_t k, const Mode& mode) const { return face_->opens(k, mode); }
  gastube::Change fire(std::size_t k, const gastube::Instant<S>& at, Mode& mode, S* y) const {
    return face_->fire(k, at, mode, y);
  }
  [[nodiscard]] S next_breakpoint(const S& time, const Mode& mode) const { return face_->next_breakpoint(time, mode); }
  void pass_breakpoint(const S& time, Mode& mode) const { face_->pass_breakpoint(time, mode); }
  [[nodiscard]] S longest_step(const Mode& mode) const { return face_->longest_step(mode); }
  [[nodiscard]] gastube::Port port(std::size_t k, const Mode& mode) const { return face_->port(k, mode); }
  void accept_port(std::size_t k, const gastube::PortReading<S>& reading, Mode& mode) const {
    face_->accept_port(k, reading, mode);
  }
  [[nodiscard]] S steady_need(std::size_t k, const Mode& mode) const { return face_->steady_need(k, mode); }
  void pattern(const Mode& mode, unsigned char* numbers) const { face_->pattern(mode, numbers); }
  void drives(const S& time, const Mode& mode, const std::function<void(const gastube::Drive<S>&)>& take) const {
    face_->drives(time, mode, take);
  }
  [[nodiscard]] bool margin(std::size_t k, const Mode& mode, gastube::Margin<S>& margin) const {
    return face_->margin(k, mode, margin);
  }
  [[nodiscard]] bool follows_straight(std::size_t k) const { return face_->follows_straight(k); }

 private:
  std::unique_ptr<CircuitFace<S>> face_;
};

/// An observer of any type, as the stepper sees it.
template <class S>
struct FacedObserver {
  std::function<void()> on_step, on_arrival, on_jump;
  std::function<void(const S&, const gastube::Change&)> on_change;

  void step(const auto&) {
    if (on_step) on_step();
  }
  void arrive(const auto&) {
    if (on_arrival) on_arrival();
  }
  void jump(const auto&) {
    if (on_jump) on_jump();
  }
  void change(const S& time, const gastube::Change& change) {
    if (on_change) on_change(time, change);
  }
};

/// The stepper that all circuits share: `Scheme` on their faces.
template <class S, class Scheme>
class SharedStepping {
  using System = FacedSystem<S, std::same_as<Scheme, gastube::Exact>>;
  using Stepping = typename gastube::detail::ChosenStepper<System, Scheme>::type;

 public:
  using State = typename Stepping::State;
  using Change = std::function<void(CircuitFace<S>&, std::any&)>;

  SharedStepping(std::unique_ptr<CircuitFace<S>> face, const std::any& mode, const gastube::Settings<S>& settings,
                 gastube::Beginning beginning)
      : stepping_(begun(System(std::move(face)), mode, settings, beginning)) {}

  [[nodiscard]] CircuitFace<S>& face() const { return stepping_.system().face(); }
  [[nodiscard]] const std::any& mode() const { return stepping_.mode(); }
  [[nodiscard]] const gastube::Settings<S>& settings() const { return stepping_.settings(); }
  [[nodiscard]] const State& state() const { return stepping_.state(); }
  [[nodiscard]] S time() const { return stepping_.time(); }
  [[nodiscard]] gastube::Instant<S> instant() const { return stepping_.instant(); }
  [[nodiscard]] long steps() const { return stepping_.steps(); }
  [[nodiscard]] gastube::Status start_status() const { return stepping_.start_status(); }
  [[nodiscard]] State save() { return stepping_.save(); }
  void restore(const State& saved) { stepping_.restore(saved); }
  gastube::Status step(const S& limit, FacedObserver<S>& observer) { return stepping_.step(limit, observer); }
  gastube::Status run_until(const S& limit, FacedObserver<S>& observer) { return stepping_.run_until(limit, observer); }
  gastube::Status next_event(const S& limit, FacedObserver<S>& observer) {
    return stepping_.next_event(limit, observer);
  }
  gastube::Status alter(const Change& change, FacedObserver<S>& observer) {
    return stepping_.alter([&](System& system, std::any& mode) { change(system.face(), mode); }, observer);
  }

 private:
  [[nodiscard]] static Stepping begun(const System& system, const std::any& mode, const gastube::Settings<S>& settings,
                                      gastube::Beginning beginning) {
    gastube::Position<System> position(system);
    system.face().start_unknowns(position.x.data());
    return Stepping(system, position, mode, settings, beginning);
  }

  Stepping stepping_;
};
// Compiled once, in shared_run.cpp.
extern template class SharedStepping<float, gastube::TrBdf2>;
extern template class SharedStepping<double, gastube::TrBdf2>;
extern template class SharedStepping<long double, gastube::TrBdf2>;
extern template class SharedStepping<float, gastube::Exact>;
extern template class SharedStepping<double, gastube::Exact>;
extern template class SharedStepping<long double, gastube::Exact>;

/// A run by the shared stepper that looks like a run of its circuit.
template <class Wired, class Scheme>
class SharedRun {
  using Stepping = SharedStepping<typename Wired::Scalar, Scheme>;

 public:
  using S = typename Wired::Scalar;
  using Mode = typename Wired::Mode;
  using State = typename Stepping::State;

  SharedRun(const Wired& circuit, const gastube::Settings<S>& settings, gastube::Beginning beginning)
      : stepping_(std::make_unique<Behind>(circuit), circuit.start_mode(), settings, beginning) {}

  [[nodiscard]] const Wired& system() const { return static_cast<const Behind&>(stepping_.face()).circuit; }
  [[nodiscard]] const Mode& mode() const { return Behind::of(stepping_.mode()); }
  [[nodiscard]] const gastube::Settings<S>& settings() const { return stepping_.settings(); }
  [[nodiscard]] const State& state() const { return stepping_.state(); }
  [[nodiscard]] S time() const { return stepping_.time(); }
  [[nodiscard]] gastube::Instant<S> instant() const { return stepping_.instant(); }
  [[nodiscard]] long steps() const { return stepping_.steps(); }
  [[nodiscard]] gastube::Status start_status() const { return stepping_.start_status(); }
  [[nodiscard]] State save() { return stepping_.save(); }
  void restore(const State& saved) { stepping_.restore(saved); }

  template <class Observer = gastube::Silent>
  gastube::Status step(const S& limit, Observer&& observer = {}) {
    auto faced = face(observer);
    return stepping_.step(limit, faced);
  }
  template <class Observer = gastube::Silent>
  gastube::Status run_until(const S& limit, Observer&& observer = {}) {
    auto faced = face(observer);
    return stepping_.run_until(limit, faced);
  }
  template <class Observer = gastube::Silent>
  gastube::Status next_event(const S& limit, Observer&& observer = {}) {
    auto faced = face(observer);
    return stepping_.next_event(limit, faced);
  }
  template <class Observer = gastube::Silent>
  gastube::Status advance(const S& dt, Observer&& observer = {}) {
    return run_until(S(time() + dt), observer);
  }
  template <class Change, class Observer = gastube::Silent>
  gastube::Status alter(Change&& change, Observer&& observer = {}) {
    const auto faced_change = [&](CircuitFace<S>& face, std::any& mode) {
      change(static_cast<Behind&>(face).circuit, Behind::of(mode));
    };
    auto faced = face(observer);
    return stepping_.alter(faced_change, faced);
  }

 private:
  using Behind = CircuitBehindFace<Wired>;

  template <class Observer>
  [[nodiscard]] FacedObserver<S> face([[maybe_unused]] Observer& observer) {
    FacedObserver<S> faced;
    if constexpr (requires { observer.step(*this); }) faced.on_step = [&] { observer.step(*this); };
    if constexpr (requires { observer.arrive(*this); }) faced.on_arrival = [&] { observer.arrive(*this); };
    if constexpr (requires { observer.jump(*this); }) faced.on_jump = [&] { observer.jump(*this); };
    if constexpr (requires(const S& time, const gastube::Change& change) { observer.change(time, change); })
      faced.on_change = [&](const S& time, const gastube::Change& change) { observer.change(time, change); };
    return faced;
  }

  Stepping stepping_;
};

/// start_unchecked() of a circuit, by the shared stepper: exact where start() would be, else by TR-BDF2.
template <gastube::StartingScheme Scheme = gastube::SchemeByCircuit, class Wired>
[[nodiscard]] auto shared_start(const Wired& circuit, const gastube::Settings<typename Wired::Scalar>& settings = {},
                                gastube::Beginning beginning = gastube::Beginning::as_given) {
  constexpr bool left_to_circuit = std::same_as<Scheme, gastube::SchemeByCircuit>;
  constexpr bool exact =
      std::same_as<Scheme, gastube::Exact> || (left_to_circuit && gastube::detail::runs_exactly<Wired>);
  using Chosen =
      std::conditional_t<exact, gastube::Exact, std::conditional_t<left_to_circuit, gastube::TrBdf2, Scheme>>;
  return SharedRun<Wired, Chosen>(circuit, settings, beginning);
}
template <gastube::StartingScheme Scheme = gastube::SchemeByCircuit, class Wired>
[[nodiscard]] auto shared_start(const Wired& circuit, gastube::Beginning beginning) {
  return shared_start<Scheme>(circuit, gastube::Settings<typename Wired::Scalar>{}, beginning);
}
