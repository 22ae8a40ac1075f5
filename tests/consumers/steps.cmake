# SPDX-License-Identifier: MIT
# What the routes share. Each begins with an empty folder ${work}.
cmake_minimum_required(VERSION 3.24)
file(REMOVE_RECURSE ${work})
file(MAKE_DIRECTORY ${work})
cmake_path(GET CMAKE_CURRENT_LIST_DIR PARENT_PATH tests_dir)
cmake_path(GET tests_dir PARENT_PATH project_dir)
set(consumers_dir ${CMAKE_CURRENT_LIST_DIR})

function(run)
  execute_process(COMMAND ${ARGN} COMMAND_ECHO STDOUT COMMAND_ERROR_IS_FATAL ANY)
endfunction()

# build_and_run(<consumer folder> <build folder> <cache entries>...)
function(build_and_run consumer to)
  run(${CMAKE_COMMAND} -S ${consumers_dir}/${consumer} -B ${to} -G ${generator} -D CMAKE_CXX_COMPILER=${compiler} ${ARGN})
  run(${CMAKE_COMMAND} --build ${to})
  run(${to}/consumer)
endfunction()
