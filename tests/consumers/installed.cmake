# SPDX-License-Identifier: MIT
# cmake --install, then find_package: as installed, and after the prefix moved; versions that are refused; pkg-config.
include(${CMAKE_CURRENT_LIST_DIR}/steps.cmake)

# 0.1.3 serves who asks for 0.1, but neither 0.0 nor 0.2: before 1.0 a minor version may change the interface.
string(REGEX MATCH "^([0-9]+)\\.([0-9]+)" ours ${version})
math(EXPR newer "${CMAKE_MATCH_2} + 1")
math(EXPR older "${CMAKE_MATCH_2} - 1")
set(refused ${CMAKE_MATCH_1}.${newer})
if(older GREATER_EQUAL 0)
  list(APPEND refused ${CMAKE_MATCH_1}.${older})
endif()

run(${CMAKE_COMMAND} --install ${build} --prefix ${work}/first)

# Exactly the headers and four files.
file(GLOB_RECURSE wanted_files RELATIVE ${project_dir} ${project_dir}/include/*)
list(APPEND wanted_files share/cmake/gastube/gastubeConfig.cmake share/cmake/gastube/gastubeConfigVersion.cmake
     share/cmake/gastube/gastubeTargets.cmake share/pkgconfig/gastube.pc)
file(GLOB_RECURSE installed_files RELATIVE ${work}/first ${work}/first/*)
list(SORT wanted_files)
list(SORT installed_files)
if(NOT installed_files STREQUAL wanted_files)
  message(FATAL_ERROR "installed: ${installed_files}\nwanted: ${wanted_files}")
endif()

build_and_run(installed ${work}/build_first -D CMAKE_PREFIX_PATH=${work}/first -D wanted=${ours})
file(RENAME ${work}/first ${work}/moved)
build_and_run(installed ${work}/build_moved -D CMAKE_PREFIX_PATH=${work}/moved -D wanted=${ours})

foreach(other IN LISTS refused)
  execute_process(COMMAND ${CMAKE_COMMAND} -S ${consumers_dir}/installed -B ${work}/build_${other} -G ${generator}
                          -D CMAKE_CXX_COMPILER=${compiler} -D CMAKE_PREFIX_PATH=${work}/moved -D wanted=${other}
                  RESULT_VARIABLE result ERROR_VARIABLE message OUTPUT_QUIET)
  string(REGEX REPLACE "[ \n]+" " " message "${message}")
  if(result EQUAL 0 OR NOT message MATCHES "compatible with requested version \"${other}\"")
    message(FATAL_ERROR "version ${other} was asked of ${version}: result ${result}, ${message}")
  endif()
endforeach()

find_program(pkg_config pkg-config REQUIRED)
set(ENV{PKG_CONFIG_PATH} ${work}/moved/share/pkgconfig)
execute_process(COMMAND ${pkg_config} --cflags "gastube >= ${ours}" OUTPUT_VARIABLE flags
                OUTPUT_STRIP_TRAILING_WHITESPACE COMMAND_ERROR_IS_FATAL ANY)
separate_arguments(flags UNIX_COMMAND "${flags}")
run(${compiler} -std=c++20 ${flags} ${consumers_dir}/main.cpp -o ${work}/by_pkg_config)
run(${work}/by_pkg_config)
