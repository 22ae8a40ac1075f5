// SPDX-License-Identifier: MIT
// Stepping takes nothing from the heap by malloc either, in any scheme, nor while the host changes a circuit. This file
// replaces malloc where that can be done: with the GNU C library, and without a sanitizer, which has one of its own.
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/filament_lamp.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>
#include <gastube/circuit/voltmeter.hpp>
#include <gastube/tube/family/ideal.hpp>

#include <doctest/doctest.h>

#include <array>
#include <cstdlib>
#include <type_traits>
#include <vector>

#if defined(__has_feature)
#define GASTUBE_TEST_HAS(feature) __has_feature(feature)
#else
#define GASTUBE_TEST_HAS(feature) 0
#endif
#if defined(__GLIBC__) && !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)                              \
    && !GASTUBE_TEST_HAS(address_sanitizer) && !GASTUBE_TEST_HAS(memory_sanitizer)                                     \
    && !GASTUBE_TEST_HAS(thread_sanitizer)
#define GASTUBE_TEST_OWN_MALLOC 1
#else
#define GASTUBE_TEST_OWN_MALLOC 0
#endif

using namespace gastube;

namespace {

enum { ground, supply, plate_1, plate_2, grid_1, grid_2, node_count };

const auto tube = IdealTube<double>{.control_ratio = 20, .arc_drop = 15, .sustaining_current = 1e-3}.build(
    FixedDeionisation<double>{100e-6});
const DcSource<double> battery{supply, ground, 150};
const Resistor<double> load_1{supply, plate_1, 2e3}, load_2{supply, plate_2, 2e3};
const FilamentLamp<double> lamp{supply, plate_1, {.voltage = 150, .current = 0.01}};
const Capacitor<double> commutating{plate_1, plate_2, 0.22e-6};
const PulseSource<double> pulse_1{
    grid_1, ground, {.low = -10, .high = 0, .delay = 1e-3, .width = 1e-5, .period = 4e-3}};
const PulseSource<double> pulse_2{
    grid_2, ground, {.low = -10, .high = 0, .delay = 3e-3, .width = 1e-5, .period = 4e-3}};
const Voltmeter<double> meter{plate_2, ground, 1e6};
const auto tube_1 = wired(tube, {.plate = plate_1, .grid = grid_1, .cathode = ground});
const auto tube_2 = wired(tube, {.plate = plate_2, .grid = grid_2, .cathode = ground});

[[nodiscard]] auto fixed_latch() {
  return wire<node_count>(battery, load_1, load_2, lamp, commutating, pulse_1, pulse_2, meter,
                          std::array{tube_1, tube_2});
}

// The position within a saved state of a circuit of fixed size may be copied byte by byte. The state as a whole is not
// trivially copyable, for the memories of the parts stand in a std::tuple, whose assignment is not trivial in
// libstdc++; its copy construction and destruction are.
using State = decltype(start(fixed_latch()))::State;
static_assert(std::is_trivially_copyable_v<decltype(State::at)>);
static_assert(std::is_trivially_copyable_v<decltype(tube_1)::Memory>);
static_assert(std::is_trivially_copy_constructible_v<State> && std::is_trivially_destructible_v<State>);

}  // namespace

#if GASTUBE_TEST_OWN_MALLOC
namespace {
long taken = 0;

/// Counts events and steps without storing them.
struct Counter {
  long events = 0, steps = 0;
  void change(double, const Change&) { ++events; }
  template <class Run>
  void step(const Run&) {
    ++steps;
  }
};
}  // namespace

extern "C" {
void* __libc_malloc(std::size_t);
void* __libc_calloc(std::size_t, std::size_t);
void* __libc_realloc(void*, std::size_t);
void* malloc(std::size_t size) noexcept {
  ++taken;
  return __libc_malloc(size);
}
void* calloc(std::size_t count, std::size_t size) noexcept {
  ++taken;
  return __libc_calloc(count, size);
}
void* realloc(void* block, std::size_t size) noexcept {
  ++taken;
  return __libc_realloc(block, size);
}
}

TEST_CASE("the counter of malloc counts, operator new too") {
  long before = taken;
  void* volatile block = std::malloc(10);
  std::free(block);
  CHECK(taken > before);
  before = taken;
  int* volatile number = new int(10);  // volatile, or a compiler may leave the pair out
  delete number;
  CHECK(taken > before);
}

TEST_CASE("a two-tube latch of fixed size runs, is restored and is changed by its host without malloc") {
  Counter counter;
  const long before = taken;
  auto run = start(fixed_latch());
  const Status status = run.run_until(40e-3, counter);
  const auto saved = run.state();
  run.restore(saved);
  const Status altered = run.alter([](auto& parts, auto&) { parts.template entry<0>().voltage = 140.0; }, counter);
  const Status again = run.run_until(50e-3, counter);
  const long during = taken - before;
  CHECK(during == 0);
  CHECK(status == Status::done);
  CHECK(succeeded(altered));
  CHECK(again == Status::done);
  CHECK(counter.events > 30);
  CHECK(counter.steps > 500);
}

TEST_CASE("every scheme steps without malloc") {
  const Settings<double> coarse{.relative = 1e-4, .absolute = 1e-4};
  const long before = taken;
  auto euler = start<BackwardEuler>(fixed_latch(), coarse);
  auto trapezoidal = start<Trapezoidal>(fixed_latch(), coarse);
  auto plain = start<TrBdf2>(fixed_latch(), coarse);
  auto rosenbrock = start<Rodas5P>(fixed_latch(), coarse);
  const Status first = euler.run_until(8e-3), second = trapezoidal.run_until(8e-3);
  const Status third = plain.run_until(8e-3), fourth = rosenbrock.run_until(8e-3);
  const long during = taken - before;
  CHECK(during == 0);
  CHECK(first == Status::done);
  CHECK(second == Status::done);
  CHECK(third == Status::done);
  CHECK(fourth == Status::done);
}

TEST_CASE_TEMPLATE("a latch sized at run time takes nothing after its first step, events and all", Scheme, TrBdf2,
                   Rodas5P) {
  Counter counter;
  auto run = start<Scheme>(wire_dynamic(node_count, battery, std::vector{load_1, load_2}, lamp, commutating,
                                        std::vector{pulse_1, pulse_2}, meter, std::vector{tube_1, tube_2}));
  REQUIRE(succeeded(run.step(50e-3)));
  const long before = taken;
  const Status status = run.run_until(50e-3, counter);
  const long during = taken - before;
  CHECK(during == 0);
  CHECK(status == Status::done);
  CHECK(counter.events > 30);
  CHECK(counter.steps > 500);
}
#endif
