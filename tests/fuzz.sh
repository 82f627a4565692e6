#!/usr/bin/env bash
# Builds library, program and fuzz targets with clang 14 into build-clang, and lets libFuzzer make up inputs for each
# target. What it finds stands in build-clang/found; what it learns, for the next time, in build-clang/corpus.
#
#   bash tests/fuzz.sh [SECONDS [TARGET ...]]      30 seconds each, every target of tests/fuzz/corpus
set -eu -o pipefail
. "$(dirname "${BASH_SOURCE[0]}")/../cmd/setup.sh"
cd "$deckmark_top"

seconds=${1:-30}
[[ $seconds =~ ^[0-9]+$ ]] || { echo "usage: bash tests/fuzz.sh [SECONDS [TARGET ...]]" >&2; exit 2; }
shift $(($# > 0))
targets=("$@")
[ "${#targets[@]}" -gt 0 ] || mapfile -t targets < <(ls tests/fuzz/corpus)

deckmark_install "${deckmark_ci_packages[@]}"
deckmark_setup "$deckmark_top/build-clang" all -DCMAKE_CXX_COMPILER=clang++-14 -DCMAKE_BUILD_TYPE=RelWithDebInfo \
  -DCMAKE_CXX_FLAGS_RELWITHDEBINFO=-O1 -DDECKMARK_WERROR=ON -DDECKMARK_SANITIZE=address,undefined -DDECKMARK_FUZZ=ON \
  -DDECKMARK_TESTS=OFF

fuzz() {
  local target=$1 seconds=$2 log=build-clang/fuzz-$1.log
  mkdir -p "build-clang/corpus/$target" build-clang/found
  if "build-clang/tests/fuzz/fuzz_$target" -seed=1 -max_total_time="$seconds" -timeout=20 -print_final_stats=1 \
    -artifact_prefix="build-clang/found/$target-" "build-clang/corpus/$target" "tests/fuzz/corpus/$target" >"$log" 2>&1; then
    echo "fuzz: $target: $(sed -n 's/^stat::number_of_executed_units: *//p' "$log") inputs, none breaks it"
  else
    tail -n 60 "$log" >&2
    echo "fuzz: $target: an input breaks it; mend what it shows and keep it in tests/fuzz/corpus/$target" >&2
    return 1
  fi
}
export -f fuzz
printf '%s\0' "${targets[@]}" | xargs -0 -P "$deckmark_cores" -I '{}' bash -c 'fuzz "$1" "$2"' fuzz '{}' "$seconds"
