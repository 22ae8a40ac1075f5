// SPDX-License-Identifier: MIT
/// What an event costs in a ring of N tubes, and how that and the memory grow with N. Also the single pieces: one
/// evaluation, one factorisation, one solution, one choice of pivots. Times are of the processor.
///   ring_cost [greatest number of tubes, 10000 unless given]

#include <gastube/support/lu.hpp>
#include <gastube/support/sparse_lu.hpp>

#include "support_for_tests/tube_ring.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <new>

namespace {
std::size_t taken = 0;  // bytes, of all allocations
}
void* operator new(std::size_t size) {
  taken += size;
  if (void* memory = std::malloc(size != 0 ? size : 1)) return memory;
  throw std::bad_alloc();
}
[[gnu::noinline]] void operator delete(void* memory) noexcept { std::free(memory); }
[[gnu::noinline]] void operator delete(void* memory, std::size_t) noexcept { std::free(memory); }

namespace {

using namespace gastube;

[[nodiscard]] double processor_time() { return double(std::clock()) / CLOCKS_PER_SEC; }

/// Least processor time of f(), s, over enough calls to measure.
template <class Function>
[[nodiscard]] double cost(Function&& f) {
  double least = 1e300;
  for (int round = 0; round < 5; ++round) {
    long calls = 0;
    const double begin = processor_time();
    double passed = 0;
    while (passed < 0.02) {
      for (int k = 0; k < 20; ++k) f();
      calls += 20;
      passed = processor_time() - begin;
    }
    least = std::min(least, passed / double(calls));
  }
  return least;
}

struct Events {
  long count = 0;
  void change(double, const Change&) { ++count; }
};

struct Run {
  double seconds_per_event = 0;
  double bytes = 0, bytes_while_stepping = 0;  ///< taken in all up to the first pulse, and after it
  long attempts_per_event = 0;
  bool counts = false;
};
/// One pulse to warm up, then two that are measured.
[[nodiscard]] Run run_ring(std::size_t tubes) {
  Run result;
  const std::size_t before = taken;
  auto run = start(tube_ring::circuit(tubes), Beginning::settled);
  Events events;
  bool done = run.run_until(1e-3, events) == Status::done;
  result.bytes = double(taken - before);
  const long events_before = events.count, attempts_before = run.steps() + run.located();
  const std::size_t taken_before = taken;
  const double begin = processor_time();
  done = done && run.run_until(3e-3, events) == Status::done;
  const double seconds = processor_time() - begin;
  const long measured = events.count - events_before;
  result.bytes_while_stepping = double(taken - taken_before);
  result.seconds_per_event = seconds / double(measured);
  result.attempts_per_event = (run.steps() + run.located() - attempts_before) / measured;
  result.counts = done && tube_ring::burning(run) == 3 % tubes && measured == 4;
  return result;
}

/// Costs of the pieces, s.
struct Pieces {
  double evaluation, with_slopes, factor, solution, search;
  std::size_t unknowns, entries;
};
[[nodiscard]] Pieces measure_pieces(std::size_t tubes) {
  const auto circuit = tube_ring::circuit(tubes);
  const auto mode = circuit.start_mode();
  const Position<std::decay_t<decltype(circuit)>> at(circuit);
  const std::size_t n = circuit.unknowns();
  std::vector<double> charges(n), currents(n), x(n, 1.0);
  SparseLu<double> lu(n);
  const auto write = [&](SlopeTarget<double> slopes) {
    Equations<double> equations(n, at.x.data(), at.x.data(), 1e-6, charges.data(), currents.data(), slopes);
    circuit.write(at.instant(), mode, equations);
  };
  const auto write_slopes = [&] {
    do write(lu.entries());
    while (!lu.take());
  };
  write_slopes();
  Pieces pieces{};
  pieces.unknowns = n;
  pieces.search = cost([&] {
    SparseLu<double> fresh = lu;
    if (!fresh.factor()) std::exit(1);
  });
  if (!lu.factor()) std::exit(1);
  pieces.entries = lu.factor_entries();
  pieces.evaluation = cost([&] { write(nullptr); });
  pieces.with_slopes = cost(write_slopes);
  pieces.factor = cost([&] {
    if (!lu.factor()) std::exit(1);
  });
  pieces.solution = cost([&] { lu.solve(x.data()); });
  return pieces;
}

/// The dense factors of the same matrix, s.
[[nodiscard]] double dense_factor(std::size_t tubes) {
  const auto circuit = tube_ring::circuit(tubes);
  const auto mode = circuit.start_mode();
  const Position<std::decay_t<decltype(circuit)>> at(circuit);
  const std::size_t n = circuit.unknowns();
  std::vector<double> charges(n), currents(n);
  Lu<double, dynamic_extent> lu(n);
  return cost([&] {
    Equations<double> equations(n, at.x.data(), at.x.data(), 1e-6, charges.data(), currents.data(), lu.entries());
    circuit.write(at.instant(), mode, equations);
    if (!lu.factor()) std::exit(1);
  });
}

void print_runs(std::size_t greatest) {
  std::printf("%7s %12s %9s %12s %11s %14s %s\n", "tubes", "ms an event", "exponent", "attempts", "us a tube",
              "bytes a tube", "bytes while stepping");
  double before = 0;
  std::size_t tubes_before = 0;
  for (const std::size_t tubes : {4U, 10U, 50U, 200U, 1000U, 3000U, 10000U}) {
    if (tubes > greatest) break;
    const Run run = run_ring(tubes);
    const double exponent =
        before > 0 ? std::log(run.seconds_per_event / before) / std::log(double(tubes) / double(tubes_before)) : 0.0;
    std::printf("%7zu %12.3f %9.2f %12ld %11.3f %14.0f %.0f%s\n", tubes, run.seconds_per_event * 1e3, exponent,
                run.attempts_per_event, run.seconds_per_event * 1e6 / double(run.attempts_per_event) / double(tubes),
                run.bytes / double(tubes), run.bytes_while_stepping, run.counts ? "" : "  MISCOUNTS");
    before = run.seconds_per_event;
    tubes_before = tubes;
  }
}
void print_pieces(std::size_t greatest) {
  std::printf("\n%7s %9s %9s %11s %11s %11s %11s %11s %11s\n", "tubes", "unknowns", "factors", "evaluation",
              "with slopes", "factor", "solution", "pivots", "dense, all");
  for (const std::size_t tubes : {10U, 50U, 200U, 1000U, 10000U}) {
    if (tubes > greatest) break;
    const Pieces p = measure_pieces(tubes);
    std::printf("%7zu %9zu %9zu %8.2f us %8.2f us %8.2f us %8.2f us %8.1f us", tubes, p.unknowns, p.entries,
                p.evaluation * 1e6, p.with_slopes * 1e6, p.factor * 1e6, p.solution * 1e6, p.search * 1e6);
    if (tubes <= 200) std::printf(" %8.2f us", dense_factor(tubes) * 1e6);
    std::printf("\n");
  }
}

}  // namespace

int main(int count, char** arguments) {
  const std::size_t greatest = count > 1 ? std::size_t(std::strtoul(arguments[1], nullptr, 10)) : 10000;
  print_runs(greatest);
  print_pieces(greatest);
  return 0;
}
