# Makes version.cpp: version and commit, written only where they changed. A source archive has no commit, and one that
# lies in another project's repository must not take that one's. SOURCE, OUT and VERSION are given.
set(DECKMARK_VERSION ${VERSION})
set(DECKMARK_COMMIT "")
find_program(git git)
if(git)
  execute_process(COMMAND ${git} -C ${SOURCE} rev-parse --show-toplevel
    OUTPUT_VARIABLE top OUTPUT_STRIP_TRAILING_WHITESPACE ERROR_QUIET)
  file(REAL_PATH ${SOURCE} source)
  if(top STREQUAL source)
    execute_process(COMMAND ${git} -C ${SOURCE} describe --always --dirty --abbrev=12 "--exclude=*"
      OUTPUT_VARIABLE commit OUTPUT_STRIP_TRAILING_WHITESPACE ERROR_QUIET)
    if(commit)
      set(DECKMARK_COMMIT " (${commit})")
    endif()
  endif()
endif()
configure_file(${CMAKE_CURRENT_LIST_DIR}/version.cpp.in ${OUT} @ONLY)
