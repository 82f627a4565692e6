# Run by cpack on what is installed, before it is packed: what Debian wants to lie otherwise.
find_program(shlibdeps dpkg-shlibdeps)
if(NOT shlibdeps)
  message(FATAL_ERROR "dpkg-shlibdeps is missing, without which the package would not say what it needs: apt-get install dpkg-dev")
endif()
set(share ${CPACK_TEMPORARY_INSTALL_DIRECTORY}${CPACK_PACKAGING_INSTALL_PREFIX}/share)
set(doc ${share}/doc/deckmark)

function(pack)
  execute_process(COMMAND gzip -9n ${ARGN} COMMAND_ERROR_IS_FATAL ANY)
endfunction()

file(GLOB pages ${share}/man/man*/*)
if(pages)
  pack(${pages})
endif()
if(EXISTS ${share}/zsh/site-functions)
  file(RENAME ${share}/zsh/site-functions ${share}/zsh/vendor-completions)
endif()
file(RENAME ${doc}/changes.txt ${doc}/changelog)
# The form that a Debian change log has for a date; no clock is asked.
execute_process(COMMAND date --utc --rfc-email --date=${CPACK_DECKMARK_DATE}
  OUTPUT_VARIABLE made_on OUTPUT_STRIP_TRAILING_WHITESPACE COMMAND_ERROR_IS_FATAL ANY)
file(WRITE ${doc}/changelog.Debian "deckmark (${CPACK_PACKAGE_VERSION}-${CPACK_DEBIAN_PACKAGE_RELEASE}) unstable; urgency=medium

  * What changed stands in changelog.gz.

 -- ${CPACK_PACKAGE_CONTACT}  ${made_on}
")
pack(${doc}/changelog ${doc}/changelog.Debian)
file(COPY_FILE ${CPACK_DECKMARK_COPYRIGHT} ${doc}/copyright)
file(CHMOD_RECURSE ${share} FILE_PERMISSIONS OWNER_READ OWNER_WRITE GROUP_READ WORLD_READ
  DIRECTORY_PERMISSIONS OWNER_READ OWNER_WRITE OWNER_EXECUTE GROUP_READ GROUP_EXECUTE WORLD_READ WORLD_EXECUTE)
