# SPDX-License-Identifier: MIT
# Included by a consumer after it took gastube in: nothing of ours but the library may have come along.
foreach(foreign doctest::doctest benchmark::benchmark gastube_warnings gastube_test_main gastube_tests)
  if(TARGET ${foreign})
    message(FATAL_ERROR "target ${foreign} leaks into the consumer")
  endif()
endforeach()
foreach(property INTERFACE_COMPILE_OPTIONS INTERFACE_COMPILE_DEFINITIONS INTERFACE_LINK_OPTIONS)
  get_target_property(value gastube::gastube ${property})
  if(value)
    message(FATAL_ERROR "gastube::gastube hands its users ${property} ${value}")
  endif()
endforeach()
