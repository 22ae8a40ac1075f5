// SPDX-License-Identifier: MIT
#include "problem.hpp"

namespace compare {

const std::vector<Problem>& problems() {
  static const std::vector<Problem> all{
      {"P1", "P1", 0, 4474},
      {"P2", "P2", 0, 100},
      {"P3", "P3", 0, 1999},
      {"P3s", "P3s", 0, 199},
      {"P4", "P4", 0, 20, 10e-6},
      {"P4day", "P4day", 0, 172800, 10e-6, false},
      {"P5/4", "P5", 4, 80},
      {"P5/10", "P5", 10, 80},
      {"P5/50", "P5", 50, 80},
      {"P5/200", "P5", 200, 20},
      {"P5/1000", "P5", 1000, 20, 1e-6, false},
      {"P5/10000", "P5", 10000, 20, 1e-6, false},
  };
  return all;
}

namespace {

std::vector<Method> joined(std::vector<Method> some, const std::vector<Method>& more) {
  some.insert(some.end(), more.begin(), more.end());
  return some;
}

std::vector<Method> methods_on(const Problem& p) {
  if (p.kind == "P1") return joined(joined(plain_oscillator(p), fine_oscillator(p)), exact_oscillator(p));
  if (p.kind == "P2") return joined(joined(plain_rectifier(p), fine_rectifier(p)), exact_rectifier(p));
  if (p.kind == "P3") return joined(joined(plain_flip_flop(p), fine_flip_flop(p)), exact_flip_flop(p));
  if (p.kind == "P3s")
    return joined(joined(plain_stray_flip_flop(p), fine_stray_flip_flop(p)), exact_stray_flip_flop(p));
  if (p.kind == "P4" || p.kind == "P4day") return joined(plain_lamp(p), fine_lamp(p));
  if (p.count == 4) return joined(joined(plain_ring_of_4(p), fine_ring_of_4(p)), exact_ring_of_4(p));
  if (p.count == 10) return joined(joined(plain_ring_of_10(p), fine_ring_of_10(p)), exact_ring_of_10(p));
  return joined(joined(plain_ring_of_any(p), fine_ring_of_any(p)), exact_ring_of_any(p));
}

/// What would take hours is left out.
bool is_bearable(const Problem& p, const Method& method) {
  if (method.name.starts_with("exact") && p.count > 200) return false;  // it needs room for every mode of every tube
  if (p.kind == "P4day") return method.tolerance == 1e-6;
  // Equations sized at run time are sparse, so one that steps as it needs does run; ten thousand fixed steps do not
  // pay.
  if (p.count >= 1000) return method.name == "TR-BDF2" && method.tolerance >= 1e-6;
  return true;
}

}  // namespace

std::vector<Method> library_methods(const Problem& problem) {
  std::vector<Method> methods;
  for (Method& method : methods_on(problem))
    if (is_bearable(problem, method)) methods.push_back(std::move(method));
  return methods;
}

}  // namespace compare
