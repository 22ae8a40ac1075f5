# SPDX-License-Identifier: MIT
# What our own tests, examples and benchmarks are compiled with. Never linked to gastube itself, never installed.
option(GASTUBE_WERROR "Treat a warning in our own programs as an error" ON)
add_library(gastube_warnings INTERFACE)
target_compile_options(gastube_warnings INTERFACE
  -Wall -Wextra -Wpedantic -Wconversion -Wshadow -Wdouble-promotion -Wold-style-cast
  $<$<BOOL:${GASTUBE_WERROR}>:-Werror>)
