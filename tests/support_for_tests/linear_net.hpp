// SPDX-License-Identifier: MIT
#pragma once
/// A linear circuit as the matrices of E x' + G x = s, written part by part; node 0 is ground. A part with a current of
/// its own adds an unknown behind the nodes; voltages across are written as the library's parts write them.

#include <cstddef>
#include <vector>

template <class S>
struct LinearNet {
  std::size_t n;
  std::vector<S> charges, currents;  // n x n
  std::vector<double> sizes;         // what counts as ordinary: volts, milliamperes

  explicit LinearNet(std::size_t nodes) : n(0) {
    for (std::size_t k = 0; k < nodes; ++k) add_unknown(1.0);
  }
  void capacitor(std::size_t a, std::size_t b, const S& farads) { between(charges, a, b, farads); }
  void conductance(std::size_t a, std::size_t b, const S& siemens) { between(currents, a, b, siemens); }
  void resistor(std::size_t a, std::size_t b, double ohms) { conductance(a, b, S(1.0) / S(ohms)); }
  /// Current `siemens` times the voltage of node `by`, from a to b.
  void controlled(std::size_t a, std::size_t b, std::size_t by, const S& siemens) {
    if (a > 0) at(currents, a - 1, by - 1) += siemens;
    if (b > 0) at(currents, b - 1, by - 1) -= siemens;
  }
  /// across - ohms i = s: a source of voltage, a closed contact, an arc. Returns the unknown of its current.
  std::size_t branch(std::size_t a, std::size_t b, const S& ohms) {
    const std::size_t i = add_unknown(1e-3);
    if (a > 0) at(currents, a - 1, i) += S(1), at(currents, i, a - 1) += S(1);
    if (b > 0) at(currents, b - 1, i) -= S(1), at(currents, i, b - 1) -= S(1);
    at(currents, i, i) -= ohms;
    return i;
  }
  /// i - siemens across = s: an open contact, a dark tube with its leak.
  std::size_t open_branch(std::size_t a, std::size_t b, const S& siemens) {
    const std::size_t i = branch(a, b, S(-1));
    if (a > 0) at(currents, i, a - 1) = -siemens;
    if (b > 0) at(currents, i, b - 1) = siemens;
    return i;
  }
  std::size_t inductor(std::size_t a, std::size_t b, const S& henries, const S& ohms) {
    const std::size_t i = branch(a, b, ohms);
    at(charges, i, i) -= henries;
    return i;
  }
  void mutual(std::size_t i, std::size_t j, const S& henries) {
    at(charges, i, j) -= henries;
    at(charges, j, i) -= henries;
  }
  S& at(std::vector<S>& matrix, std::size_t i, std::size_t j) { return matrix[i * n + j]; }

 private:
  void between(std::vector<S>& matrix, std::size_t a, std::size_t b, const S& value) {
    if (a > 0) at(matrix, a - 1, a - 1) += value;
    if (b > 0) at(matrix, b - 1, b - 1) += value;
    if (a > 0 && b > 0) at(matrix, a - 1, b - 1) -= value, at(matrix, b - 1, a - 1) -= value;
  }
  std::size_t add_unknown(double size) {
    widen(charges);
    widen(currents);
    sizes.push_back(size);
    return n++;
  }
  void widen(std::vector<S>& matrix) const {
    std::vector<S> wide((n + 1) * (n + 1), S(0));
    for (std::size_t i = 0; i < n; ++i)
      for (std::size_t j = 0; j < n; ++j) wide[i * (n + 1) + j] = matrix[i * n + j];
    matrix = wide;
  }
};
