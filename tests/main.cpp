// SPDX-License-Identifier: MIT
// The one file that compiles doctest itself; all test programs share it.
#define DOCTEST_CONFIG_IMPLEMENT_WITH_MAIN
#include <doctest/doctest.h>
