#!/usr/bin/env bash
# Reads lib and cmd, or the files and folders named, with clang-tidy 14 and the checks of .clang-tidy. Not part of .ci/run:
# it takes half an hour and more. Needs `build` (tests/run.sh makes it) for the flags of every file.
#
#   bash tests/tidy.sh [FILE or FOLDER ...]
set -eu -o pipefail
. "$(dirname "${BASH_SOURCE[0]}")/../cmd/setup.sh"
cd "$deckmark_top"

tidy=$(command -v clang-tidy-14 || command -v clang-tidy || true)
[[ $("${tidy:-true}" --version) == *'version 14.'* ]] ||
  { echo "tidy: clang-tidy 14 is not here (Debian package clang-tidy-14)" >&2; exit 2; }
[ -f build/compile_commands.json ] || { echo "tidy: build is not there; run: bash tests/run.sh" >&2; exit 2; }

[ "$#" -gt 0 ] || set -- lib cmd
# Flags that only g++ knows are no fault of a file.
find "$@" -name '*.cpp' -print0 | sort -z |
  xargs -0 -n 1 -P "$deckmark_cores" "$tidy" -p build --quiet --extra-arg=-Wno-unknown-warning-option
