// SPDX-License-Identifier: MIT
#pragma once
// How an example ends: an exit code, whatever happens within.

#include <cstdio>
#include <exception>

namespace gastube::examples {

/// Runs the body, which returns an exit code. What it throws is printed, and the code is then 2.
template <class Body>
int run_program(const char* name, Body&& body) {
  try {
    return body();
  } catch (const std::exception& error) {
    std::fprintf(stderr, "%s: %s\n", name, error.what());
    return 2;
  }
}

}  // namespace gastube::examples
