# What `cmake --install` puts where, and the Debian package that `cpack` makes of it (build/deckmark_VERSION-1_ARCH.deb).
include(GNUInstallDirs)
set(readable OWNER_READ OWNER_WRITE OWNER_EXECUTE GROUP_READ GROUP_EXECUTE WORLD_READ WORLD_EXECUTE)
set(CMAKE_INSTALL_DEFAULT_DIRECTORY_PERMISSIONS ${readable})

install(TARGETS deckmark RUNTIME DESTINATION ${CMAKE_INSTALL_BINDIR})
install(DIRECTORY ${PROJECT_SOURCE_DIR}/data/ DESTINATION ${CMAKE_INSTALL_DATADIR}/deckmark/examples
  PATTERN "starter-*" EXCLUDE)  # what `new` writes
install(FILES ${PROJECT_SOURCE_DIR}/README.md DESTINATION ${CMAKE_INSTALL_DOCDIR})
set(changes ${PROJECT_SOURCE_DIR}/lib/manual/topics/changes.txt)
install(FILES ${changes} DESTINATION ${CMAKE_INSTALL_DOCDIR})
install(FILES ${PROJECT_SOURCE_DIR}/third_party_notes/README.md DESTINATION ${CMAKE_INSTALL_DOCDIR}
  RENAME third-party-notes.md)

# The program prints its manual and its completion from its declarations; they are made with it, so that what builds
# the program alone can install it.
set(pages deckmark.1 deckmark-job.5 deckmark-tables.5 deckmark-files.5)
set(shells bash zsh fish)
set(printed ${PROJECT_BINARY_DIR}/printed)
list(TRANSFORM pages PREPEND ${printed}/ OUTPUT_VARIABLE page_files)
list(TRANSFORM shells PREPEND ${printed}/completion. OUTPUT_VARIABLE shell_files)
add_custom_command(TARGET deckmark POST_BUILD BYPRODUCTS ${page_files} ${shell_files}
  COMMAND ${CMAKE_COMMAND} -DPROGRAM=$<TARGET_FILE:deckmark> "-DPAGES=${pages}" "-DSHELLS=${shells}" -DTO=${printed}
          -P ${CMAKE_CURRENT_LIST_DIR}/printed.cmake
  VERBATIM)
foreach(page IN LISTS pages)
  string(REGEX REPLACE ".*\\." "" section ${page})
  install(FILES ${printed}/${page} DESTINATION ${CMAKE_INSTALL_MANDIR}/man${section})
endforeach()
install(FILES ${printed}/completion.bash DESTINATION ${CMAKE_INSTALL_DATADIR}/bash-completion/completions RENAME deckmark)
install(FILES ${printed}/completion.zsh DESTINATION ${CMAKE_INSTALL_DATADIR}/zsh/site-functions RENAME _deckmark)
install(FILES ${printed}/completion.fish DESTINATION ${CMAKE_INSTALL_DATADIR}/fish/vendor_completions.d
  RENAME deckmark.fish)

# The change log is a topic of help.
set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS ${changes})
file(STRINGS ${changes} versions REGEX "^VERSION ")
list(GET versions 0 newest)
if(NOT newest STREQUAL "VERSION ${PROJECT_VERSION}")
  message(FATAL_ERROR "${changes} begins with \"${newest}\", expected \"VERSION ${PROJECT_VERSION}\"")
endif()

set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_DIRECTORY ${PROJECT_BINARY_DIR})
set(CPACK_PACKAGE_NAME deckmark)
set(CPACK_PACKAGE_CONTACT "deckmark founders <deckmark@localhost.invalid>")
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "construction layout from shop drawings, offline")
set(CPACK_PACKAGE_DESCRIPTION
"Maps shop-drawing points into site points by what was measured on site, lifts
them plumb to the deck above, checks the drawing's baselines, and writes
numbered lists for an instrument or sheets for laser and tape.
Says where a total station stands and what to turn, judges as-built shots,
and refuses what it cannot be sure of.")
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_STRIP_FILES ON)
set(CPACK_INSTALL_DEFAULT_DIRECTORY_PERMISSIONS ${readable})
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PACKAGE_RELEASE 1)
set(CPACK_DEBIAN_PACKAGE_SECTION science)
set(CPACK_DEBIAN_PACKAGE_PRIORITY optional)
set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS ON)
set(CPACK_DEBIAN_PACKAGE_CONTROL_STRICT_PERMISSION ON)
set(CPACK_DEBIAN_COMPRESSION_TYPE xz)
set(CPACK_PRE_BUILD_SCRIPTS ${CMAKE_CURRENT_LIST_DIR}/debian.cmake)
set(CPACK_DECKMARK_COPYRIGHT ${CMAKE_CURRENT_LIST_DIR}/copyright)
set(CPACK_DECKMARK_DATE ${DECKMARK_DATE})
include(CPack)
