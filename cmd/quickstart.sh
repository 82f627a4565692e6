#!/usr/bin/env bash
# Builds deckmark and runs the demo job, telling what it shows.
#
#   bash cmd/quickstart.sh
set -u
. "$(dirname "${BASH_SOURCE[0]}")/setup.sh"

mapfile -t options < <(deckmark_options)
deckmark_setup "$deckmark_top/build" "${options[@]}" || exit 1

# A job keeps its numbers beside it, so the demo is run in a copy and the project stays as it is.
cd "$deckmark_top" || exit 1
rm -rf out/demo
mkdir -p out && cp -R data/demo out/demo || exit 1
deckmark=build/cmd/deckmark

say() { printf '\n%s\n' "$@"; }

say "== 1. Are the baselines where the drawing needs them?" "\$ $deckmark baseline out/demo"
"$deckmark" baseline out/demo
say "== 2. Everything: hanger positions, numbered lists for the instrument, the check of the deck marks" "\$ $deckmark run out/demo"
"$deckmark" run out/demo
status=$?
if [ "$status" -ne 1 ]; then
  echo "quickstart: the demo job should end with status 1 (one deck mark is outside), but ended with $status" >&2
  exit 1
fi

say "== 3. What was made (out/demo/out)"
ls out/demo/out
say "The first rows of floor-list.csv, ready to load into an instrument (number, northing, easting, elevation, description):"
head -n 4 out/demo/out/floor-list.csv
say "The deck mark that is outside (plumb.csv):"
grep -E '^number|outside' out/demo/out/plumb.csv

cat <<'TEXT'

What you have seen
- The baselines of the drawing were found from points measured on site, and checked: each line of the first table says
  how far a point lies from where the drawing has it, and whether that is within the tolerance.
- Every hanger of the drawing got a number and a place on the floor and on the deck.
- The marks already made on the deck were held against the floor marks below them. One is outside: it has to be marked
  again before anyone drills. That is why the job says DO NOT LAY OUT and ended with status 1, as it should: status 0
  means that every check is within, 1 that the files are written but a check is not within, 2 that the input has a
  problem (nothing is written), 3 that the system failed.
Next: build/cmd/deckmark new my-job makes a job of your own to fill in; build/cmd/deckmark --help lists the commands.
TEXT
