#!/usr/bin/env bash
# The shape of the source: every .h and .cpp as .clang-format has it (order of includes too), no line longer than 110
# characters, not even in a string that the formatter leaves alone.
#
#   bash tests/format.sh          tells what differs
#   bash tests/format.sh --mend   formats; a line that is still too long is told
#
# One version decides, since they differ: clang-format 14, as in Debian 12.
set -eu -o pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."

formatter=$(command -v clang-format-14 || command -v clang-format || true)
[[ $("${formatter:-true}" --version) == *'version 14.'* ]] ||
  { echo "format: clang-format 14 is not here (Debian package clang-format-14)" >&2; exit 2; }

mapfile -d '' -t files < <(find lib cmd tests \( -name '*.h' -o -name '*.cpp' \) -print0 | sort -z)
status=0
case "${1:-}" in
  '') "$formatter" --dry-run -Werror "${files[@]}" || status=1 ;;
  --mend) "$formatter" -i "${files[@]}" ;;
  *) echo "usage: bash tests/format.sh [--mend]" >&2; exit 2 ;;
esac

# Characters, not bytes: a degree sign is one.
if LC_ALL=C.UTF-8 grep -nE '.{111,}' "${files[@]}" >&2; then
  echo "format: these lines are longer than 110 characters" >&2
  status=1
fi
exit "$status"
