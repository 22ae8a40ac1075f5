// SPDX-License-Identifier: MIT
#pragma once
/// A tetrode of round numbers, made up for the tests: every law of a hot-cathode tube is at work in it.

#include <gastube/catalogue/hot_cathode.hpp>

template <class S>
[[nodiscard]] gastube::catalogue::RareGasLaws<S> bench_laws() {
  return {.ignition = {.line = {S(100), S(-1), S(0)}, .knee = {S(12), S(1), S(50)}},
          .shield = {S(2)},
          .delay = {S(1e-6L), S(20e-6L)},
          .arc = {{S(10), S(2)}, S(100), S(50), S(30)},
          .fall = {},
          .sustaining = {S(5e-3L)},
          .recovery = {S(10e-6L), S(50e-6L), S(0.1L), S(10)},
          .grid = {S(2e-5L), S(1e-9L), S(1e-6L), S(12), S(1e-3L), S(1e-4L), S(8), S(1e3)},
          .electrons = {S(5e-6L), S(100), S(50), S(1)},
          .afterglow = {},
          .cathode = {S(10), S(3)},
          .inverse = {S(500), S(20)},
          .capacitances = {},
          .ratings = {}};
}

template <class S>
[[nodiscard]] gastube::catalogue::RareGasTube<S> bench_tube() {
  return gastube::catalogue::RareGasTube<S>(bench_laws<S>(), "bench tube");
}
