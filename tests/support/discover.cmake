# Run after a test program is linked: writes a CTest script with one test a case.
#   cmake -DPROGRAM=... -DPREFIX=... -DLABEL=... -DSCRIPT=... -P discover.cmake
# doctest's own script splits a name at a semicolon or an odd bracket into names that fit no case; here any name works.
execute_process(COMMAND "${PROGRAM}" --list-test-cases OUTPUT_VARIABLE output RESULT_VARIABLE result)
if(NOT result EQUAL 0)
  message(FATAL_ERROR "${PROGRAM} --list-test-cases ended with ${result}:\n${output}")
endif()

# Characters that mean something in a CMake list are put aside while the lines are walked.
string(ASCII 1 semicolon)
string(ASCII 2 open)
string(ASCII 3 close)
string(REPLACE ";" "${semicolon}" output "${output}")
string(REPLACE "[" "${open}" output "${output}")
string(REPLACE "]" "${close}" output "${output}")
string(REPLACE "\n" ";" lines "${output}")

set(script "")
foreach(line IN LISTS lines)
  if(line STREQUAL "" OR line MATCHES "^=+$" OR line MATCHES "^${open}doctest${close} ")
    continue()
  endif()
  # In a filter a comma begins another filter; ? stands for any character.
  string(REGEX REPLACE "[,\\\\\"${semicolon}${open}${close}]" "?" filter "${line}")
  string(REPLACE "${semicolon}" ";" name "${line}")
  string(REPLACE "${open}" "[" name "${name}")
  string(REPLACE "${close}" "]" name "${name}")
  string(APPEND script
    "add_test([==[${PREFIX}: ${name}]==] [==[${PROGRAM}]==] [==[--test-case=${filter}]==])\n"
    "set_tests_properties([==[${PREFIX}: ${name}]==] PROPERTIES LABELS [==[${LABEL}]==])\n")
endforeach()
file(WRITE "${SCRIPT}" "${script}")
