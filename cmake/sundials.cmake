# SPDX-License-Identifier: MIT
# SUNDIALS solves some problems a second time, by other people's code: gastube_sundials lists what to link, if it is there.
# Its interface changes with each major version; ours is written for the sixth (Debian 12, Ubuntu 24.04).
# Looked for by hand: its own CMake package insists on OpenMP, which clang++ alone has not got and we do not use.
set(gastube_sundials)
find_path(SUNDIALS_INCLUDE_DIR sundials/sundials_config.h)
if(SUNDIALS_INCLUDE_DIR)
  file(STRINGS ${SUNDIALS_INCLUDE_DIR}/sundials/sundials_config.h version REGEX "SUNDIALS_VERSION_MAJOR +6")
  foreach(part ida cvode nvecserial sunlinsoldense sunmatrixdense)
    find_library(SUNDIALS_${part} sundials_${part})
    list(APPEND gastube_sundials ${SUNDIALS_${part}})
  endforeach()
  if(NOT version OR gastube_sundials MATCHES "NOTFOUND")
    set(gastube_sundials)
  endif()
endif()
