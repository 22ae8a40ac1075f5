# SPDX-License-Identifier: MIT
# The first program of README.md, taken from there: below 25 lines, it builds with nothing but the headers, and prints
# what README.md says.
include(${CMAKE_CURRENT_LIST_DIR}/steps.cmake)

file(READ ${project_dir}/README.md readme)
string(FIND "${readme}" "```cpp\n" begin)
string(SUBSTRING "${readme}" ${begin} -1 rest)
string(SUBSTRING "${rest}" 7 -1 rest)
string(FIND "${rest}" "```\n" end)
string(SUBSTRING "${rest}" 0 ${end} program)
math(EXPR after "${end} + 4")
string(SUBSTRING "${rest}" ${after} -1 rest)

string(REGEX MATCHALL "\n" lines "${program}")
list(LENGTH lines count)
message(STATUS "the first program of README.md has ${count} lines")
if(NOT count LESS 25)
  message(FATAL_ERROR "a newcomer's first program has to stay below 25 lines, it has ${count}")
endif()

# What it prints stands below it, indented by four columns.
string(REGEX MATCH "^\n((    [^\n]*\n)+)" found "${rest}")
string(REGEX REPLACE "(^|\n)    " "\\1" promised "${CMAKE_MATCH_1}")

file(WRITE ${work}/first.cpp "${program}")
run(${compiler} -std=c++20 -I ${project_dir}/include ${work}/first.cpp -o ${work}/first)
execute_process(COMMAND ${work}/first OUTPUT_VARIABLE printed COMMAND_ERROR_IS_FATAL ANY)
if(NOT printed STREQUAL promised)
  message(FATAL_ERROR "README.md promises\n${promised}but its program prints\n${printed}")
endif()
