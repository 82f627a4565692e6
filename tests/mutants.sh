#!/usr/bin/env bash
# Do the tests see small slips? Makes the wrong changes of tests/mutants.txt, one at a time, builds, and
# looks which test fails. Not part of CI: on two cores some 20 s a change where a unit test sees it, a
# minute where none does, so about half an hour for all. Puts the file back as it was, also where it is
# interrupted.
#
#   bash tests/mutants.sh [FIRST [LAST]]      changes FIRST to LAST of the file, counted from 1; all of them
#
# Builds in build, or in the folder that DECKMARK_BUILD names; it has to be configured with the tests. Exit 0
# where nine in ten are caught. A change that does not build, or whose old text does not stand in its file
# exactly once, counts as not caught. Meanwhile nothing else may build there or change the files.
set -u -o pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.." || exit 2

build=${DECKMARK_BUILD:-build}
list=tests/mutants.txt
units=(stages/test_stages lists/test_lists pages/test_pages job/test_job job/test_job_keys job/test_columns)
commands='^(command|demo|cases|refusals|setups|overhead|asbuilt_told|baseline_checks):'
command_programs=(run_case test_demo test_cases test_refusals test_setups test_overhead test_asbuilt_told
  test_baseline_checks)
most=300  # seconds for a test; a change that makes one run on is seen

usage() {
  echo "usage: bash tests/mutants.sh [FIRST [LAST]]" >&2
  exit 2
}

# Of every change three lines, FILE, `- old text`, `+ new text`, and a blank one.
files=() olds=() news=()
while IFS= read -r file; do
  IFS= read -r old && IFS= read -r new || break
  IFS= read -r blank || blank=""
  if [ "${old:0:2}" != "- " ] || [ "${new:0:2}" != "+ " ] || [ -n "$blank" ]; then
    echo "mutants: change $((${#files[@]} + 1)) of $list is not FILE, - old, + new and a blank line" >&2
    exit 2
  fi
  files+=("$file") olds+=("${old:2}") news+=("${new:2}")
done <"$list"

first=${1:-1}
last=${2:-${#files[@]}}
[ $# -le 2 ] && [[ $first =~ ^[1-9][0-9]*$ && $last =~ ^[1-9][0-9]*$ ]] || usage
[ "$last" -le "${#files[@]}" ] || last=${#files[@]}
[ "$first" -le "$last" ] || usage
[ -f "$build/CMakeCache.txt" ] || { echo "mutants: $build is not configured" >&2; exit 2; }

aside=$(mktemp -d) || exit 2
log=$aside/log
changed=""
# A plain copy is newer than what was built from the changed file, so that the next build mends that too.
restore() {
  [ -z "$changed" ] || cp "$aside/file" "$changed" || echo "mutants: $changed is left changed" >&2
  changed=""
}
trap 'restore; rm -rf "$aside"' EXIT
trap 'exit 130' INT TERM HUP

# Puts the new text in place of the old, which has to stand once; perl reads both as they are.
replace() {
  OLD=$2 NEW=$3 perl -0777 -i -pe '
    BEGIN { $old = $ENV{OLD}; $new = $ENV{NEW}; }
    my $n = () = /\Q$old\E/g;
    $bad = 1 if $n != 1;
    s/\Q$old\E/$new/ if $n == 1;
    END { $? = 1 if $bad; }' "$1"
}

build_targets() { cmake --build "$build" --target "$@" >"$log" 2>&1; }

# Says in `seen` which unit test fails; false where none does.
fails_a_unit() {
  local unit name
  for unit in "${units[@]}"; do
    timeout "$most" "$build/tests/unit/$unit" >"$log" 2>&1 && continue
    name=$(grep -a -m1 '^TEST CASE:' "$log" | sed 's/^TEST CASE: *//')
    seen="${unit#*/}: ${name:-it ends or does not}"
    return 0
  done
  return 1
}

fails_a_command() {
  ctest --test-dir "$build" -R "$commands" -j "$(nproc)" --stop-on-failure --timeout "$most" >"$log" 2>&1 &&
    return 1
  seen=$(sed -n 's/^.*[Tt]est *#[0-9]*: \(.*[^ .]\) *\.*\*\*\*.*/\1/p' "$log" | head -1)
  seen=${seen:-a command test}
}

# What the tests say of the files as they are, in `seen`.
judge() {
  seen=""
  build_targets "${units[@]#*/}" || return 2
  fails_a_unit && return 0
  build_targets deckmark || return 2
  fails_a_command
}

# Test programs older than their sources say nothing, and a test that fails already catches nothing.
build_targets "${command_programs[@]}" || { tail -30 "$log" >&2; echo "mutants: no build" >&2; exit 2; }
judge
case $? in
  0) echo "mutants: fails already: $seen" >&2; exit 2 ;;
  2) tail -30 "$log" >&2; echo "mutants: the files as they are do not build" >&2; exit 2 ;;
esac

caught=0
for ((i = first; i <= last; ++i)); do
  file=${files[i - 1]}
  told="$i $file: ${olds[i - 1]}"
  if ! cp "$file" "$aside/file"; then
    echo "$told: no such file"
    continue
  fi
  changed=$file
  if ! replace "$file" "${olds[i - 1]}" "${news[i - 1]}"; then
    echo "$told: does not stand there once"
  else
    judge
    case $? in
      0) echo "$told: caught by $seen"; caught=$((caught + 1)) ;;
      1) echo "$told: SURVIVED" ;;
      *) echo "$told: does not build"; grep -a -m1 'error' "$log" ;;
    esac
  fi
  restore
done
build_targets "${units[@]#*/}" deckmark || echo "mutants: the files as they were do not build" >&2

count=$((last - first + 1))
echo "$caught of $count caught"
[ $((caught * 10)) -ge $((count * 9)) ]
