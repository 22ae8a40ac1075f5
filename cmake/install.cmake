# SPDX-License-Identifier: MIT
# Everything installed is the same on every machine: headers to include/, the rest to share/. The prefix may be moved.
include(GNUInstallDirs)
include(CMakePackageConfigHelpers)
set(config_dir ${CMAKE_INSTALL_DATADIR}/cmake/gastube)

install(TARGETS gastube EXPORT gastubeTargets FILE_SET HEADERS)
install(EXPORT gastubeTargets NAMESPACE gastube:: DESTINATION ${config_dir})

configure_package_config_file(cmake/gastubeConfig.cmake.in gastubeConfig.cmake INSTALL_DESTINATION ${config_dir})
# Before 1.0 a minor version may change the interface, so 0.2 is not taken for 0.1.
write_basic_package_version_file(gastubeConfigVersion.cmake COMPATIBILITY SameMinorVersion ARCH_INDEPENDENT)
install(FILES ${CMAKE_CURRENT_BINARY_DIR}/gastubeConfig.cmake ${CMAKE_CURRENT_BINARY_DIR}/gastubeConfigVersion.cmake
        DESTINATION ${config_dir})

set(pkgconfig_dir ${CMAKE_INSTALL_DATADIR}/pkgconfig)
file(RELATIVE_PATH prefix_from_pkgconfig /${pkgconfig_dir} /)  # as ../.. : found from the .pc file, wherever it is
string(REGEX REPLACE "/$" "" prefix_from_pkgconfig ${prefix_from_pkgconfig})
configure_file(cmake/gastube.pc.in gastube.pc @ONLY)
install(FILES ${CMAKE_CURRENT_BINARY_DIR}/gastube.pc DESTINATION ${pkgconfig_dir})
