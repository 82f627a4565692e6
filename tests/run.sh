#!/usr/bin/env bash
# Builds and runs the tests: all but slow ones and benchmarks; with --all the slow ones too.
#
#   bash tests/run.sh [--all]
set -u -o pipefail
. "$(dirname "${BASH_SOURCE[0]}")/../cmd/setup.sh"

leave_out='^(slow|bench)$'
case "${1:-}" in
  '') ;;
  --all) leave_out='^bench$' ;;
  *) echo "usage: bash tests/run.sh [--all]" >&2; exit 2 ;;
esac

build="$deckmark_top/build"
mapfile -t options < <(deckmark_options)
deckmark_setup "$build" all "${options[@]}" -DDECKMARK_TESTS=ON || exit 1
ctest --test-dir "$build" -LE "$leave_out" -j "$deckmark_cores" --output-on-failure --no-tests=error 2>&1 | tee "$build/tests.log"
status=$?

# "97% tests passed, 3 tests failed out of 100"
closing=$(grep -aE 'tests passed, [0-9]+ tests failed out of [0-9]+$' "$build/tests.log" | tail -n 1)
if [[ $closing =~ ,\ ([0-9]+)\ tests\ failed\ out\ of\ ([0-9]+)$ ]]; then
  echo "$((BASH_REMATCH[2] - BASH_REMATCH[1])) passed, ${BASH_REMATCH[1]} failed"
else
  echo "the tests did not run" >&2
  [ "$status" -ne 0 ] || status=1
fi
exit "$status"
