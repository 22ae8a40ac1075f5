// SPDX-License-Identifier: MIT
/// Counts every allocation of this program; stepping must make none.
#include <gastube/catalogue/xenon.hpp>
#include <gastube/circuit/capacitor.hpp>
#include <gastube/circuit/contact.hpp>
#include <gastube/circuit/filament_lamp.hpp>
#include <gastube/circuit/inductor.hpp>
#include <gastube/circuit/resistor.hpp>
#include <gastube/circuit/run.hpp>
#include <gastube/circuit/sources.hpp>

#include "support_for_tests/tube_ring.hpp"

#include <doctest/doctest.h>

#include <cstdlib>
#include <new>
#include <vector>

namespace {
long allocations = 0, bytes = 0;

void* counted(std::size_t size) {
  ++allocations;
  bytes += long(size);
  if (void* memory = std::malloc(size != 0 ? size : 1)) return memory;
  throw std::bad_alloc();
}
}  // namespace

void* operator new(std::size_t size) { return counted(size); }
void* operator new[](std::size_t size) { return counted(size); }
void operator delete(void* memory) noexcept { std::free(memory); }
void operator delete[](void* memory) noexcept { std::free(memory); }
void operator delete(void* memory, std::size_t) noexcept { std::free(memory); }
void operator delete[](void* memory, std::size_t) noexcept { std::free(memory); }

using namespace gastube;

namespace {
enum Nodes : Node { ground, supply, lamp_top, plate, reset_plate, grid, reset_grid, coil, node_count };

struct CountChanges {
  int changes = 0;
  void change(double, const Change&) { ++changes; }
};

/// A lamp latch with its reset, a button and an inductor; `wire_up` decides between fixed and run-time size.
template <class WireUp>
auto latch(WireUp&& wire_up) {
  const auto tube = catalogue::type_5727();
  return wire_up(
      DcSource{supply, ground, 48.0}, Resistor{supply, lamp_top, 390.0},
      FilamentLamp{lamp_top, plate, FilamentRating<double>{24, 0.04}}, Resistor{supply, reset_plate, 56e3},
      Capacitor{plate, reset_plate, 0.47e-6},
      PulseSource<double>{grid, ground, {.low = -6, .high = 3, .delay = 1e-3, .width = 1e-4, .period = 0.02}},
      PulseSource<double>{reset_grid, ground, {.low = -6, .high = 3, .delay = 0.01, .width = 1e-4}},
      PushButton<double, 1>{supply, coil, {{{2e-3, 2e-3}}}, {.bounces = 2, .time = 1e-3}},
      Inductor{coil, ground, 0.1, 1e3},
      wired(tube, {.plate = plate, .grid = grid, .cathode = ground, .heater = ground}),
      wired(tube, {.plate = reset_plate, .grid = reset_grid, .cathode = ground, .heater = ground}));
}
}  // namespace

TEST_CASE("the counter counts") {
  const long before = allocations;
  const std::vector<int> some(10);
  CHECK(some.size() == 10);
  CHECK(allocations > before);
}

TEST_CASE("a circuit of fixed size never touches the heap, from its making to the last event") {
  const long before = allocations;
  auto run = start(latch([](const auto&... parts) { return wire<node_count>(parts...); }), Beginning::settled);
  CountChanges observer;
  const Status status = run.run_until(0.03, observer);
  const auto saved = run.save();
  run.restore(saved);
  const long made = allocations - before;
  CHECK(status == Status::done);
  CHECK(observer.changes >= 8);  // set, reset, set again
  CHECK(made == 0);
}

TEST_CASE("a circuit of run-time size allocates at its start, and not while stepping") {
  auto run = start(latch([](const auto&... parts) { return wire_dynamic(node_count, parts...); }), Beginning::settled);
  CountChanges observer;
  REQUIRE(succeeded(run.step(0.03, observer)));
  const long before = allocations;
  const Status status = run.run_until(0.03, observer);
  const long made = allocations - before;
  CHECK(status == Status::done);
  CHECK(observer.changes >= 8);
  CHECK(made == 0);
}

TEST_CASE("a ring of 100 tubes allocates in proportion to its size, and not while its arc moves on") {
  long at_start[2] = {};
  for (const std::size_t half : {0U, 1U}) {
    const long before = bytes;
    static_cast<void>(start(tube_ring::circuit(50 * (half + 1)), Beginning::settled));
    at_start[half] = bytes - before;
  }
  CHECK(at_start[1] < 3 * at_start[0]);
  auto run = start(tube_ring::circuit(100), Beginning::settled);
  CountChanges observer;
  REQUIRE(succeeded(run.step(1e-3, observer)));
  const long before = allocations;
  const Status status = run.run_until(1e-3, observer);
  const long made = allocations - before;
  CHECK(status == Status::done);
  CHECK(observer.changes == 2);
  CHECK(made == 0);
}
