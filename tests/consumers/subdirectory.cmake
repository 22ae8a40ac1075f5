# SPDX-License-Identifier: MIT
# add_subdirectory of the source, which must also add nothing to what the consumer installs.
include(${CMAKE_CURRENT_LIST_DIR}/steps.cmake)
build_and_run(subdirectory ${work}/build -D gastube_dir=${project_dir})
run(${CMAKE_COMMAND} --install ${work}/build --prefix ${work}/prefix)
file(GLOB_RECURSE installed ${work}/prefix/*)
if(installed)
  message(FATAL_ERROR "the consumer would install ${installed}")
endif()
