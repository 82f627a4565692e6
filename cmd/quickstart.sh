#!/usr/bin/env bash
# Builds deckmark and runs the demo job, telling what it shows. Ends with status 0 when the demo did as it should.
#
#   bash cmd/quickstart.sh
set -u
. "$(dirname "${BASH_SOURCE[0]}")/setup.sh"

mapfile -t options < <(deckmark_options)
deckmark_setup "$deckmark_top/build" deckmark "${options[@]}" || exit 1

# A job keeps its numbers beside it, so jobs are run in copies and the project stays as it is. The demo starts afresh
# every time; copies of the others stay as they are once made.
cd "$deckmark_top" || exit 1
job=out/atrium-ft-in
rm -rf "$job"
mkdir -p out || exit 1
for from in data/*/; do
  name=$(basename "$from")
  case "$name" in starter-*) continue ;; esac  # what `new` writes
  [ -e "out/$name" ] || cp -R "$from" "out/$name" || exit 1
done
deckmark=build/cmd/deckmark

say() { printf '\n%s\n' "$@"; }

say "== 1. The job: a drawing keyed in feet and inches, and what was found on site" "\$ head -n 8 $job/drawing.csv $job/ties.csv"
head -n 8 "$job/drawing.csv" "$job/ties.csv"
say "== 2. Are the baselines where the drawing needs them?" "\$ $deckmark baseline $job"
"$deckmark" baseline "$job"
say "== 3. Everything: positions, numbered lists for the instrument, the check of the deck marks" "\$ $deckmark run $job"
"$deckmark" run "$job"
status=$?
if [ "$status" -ne 1 ]; then
  echo "quickstart: the demo job should end with status 1 (one deck mark is outside), but ended with $status" >&2
  exit 1
fi

say "== 4. What was made ($job/out)"
ls "$job/out"
say "The first rows of floor-list.csv, ready to load into an instrument (number, northing, easting, elevation, description):"
head -n 4 "$job/out/floor-list.csv"
say "The deck mark that is outside (plumb.csv):"
grep -E '^number|outside' "$job/out/plumb.csv"

cat <<'TEXT'

What you have seen
- Ties are points found on site whose drawing X or Y is known. From eight of them the program found where the
  drawing's two baselines lie. `off` in the first table is how far each one stands from where the drawing has it,
  `permitted` how far it may, `good to` how well the other ties know it.
- Every one of the 95 drawing points got a number for the life of the job, a place on the floor and (all but the
  ring's centre, where nothing hangs) the place straight above it on the deck: 1001 on the floor is 6001 on the deck.
- Twelve marks already made on the deck were held against the floor marks below them. 1059 is outside: it stands
  16.7 mm from plumb where 6 mm is permitted, and has to be marked again before anyone drills. That is why the job
  says DO NOT LAY OUT from 1059 and ended with status 1; the other 94 stand, and the lists were written.
- Status 0 means that every check is within; 1 that the files are written but a check is not within; 2 that the
  input has a problem (nothing is written); 3 that the system failed.

Next
  build/cmd/deckmark new my-job      a small commented job of your own to fill in (--units m for metres)
  build/cmd/deckmark --help          the commands
  out/gallery-m                      a job in metres where all is within
  out/lounge-ft-in                   strings, level and laser, no instrument: from corner marks to brackets
  out/workshop-ft-in                 ties taped from a laser cross: the offset sheet, taped diagonals
  out/foyer-m                        lines and rings in place of points, ducts in the way, pieces and a cut list
  out/arcade-m                       a total station: where it stood, what to turn and measure for every mark
  out/hall-m                         finished marks checked: what stands, and why it is off
  out/concourse-us-ft                control in a map projection
  README.md                          a first job in ten minutes, and where each person on site begins
  data/NAME/README.md                how to work with each of these jobs

To type `deckmark` anywhere (program, manual, completion and the jobs above, in share/deckmark/examples)
  sudo cmake --install build                     for everybody, under /usr/local
  cmake --install build --prefix ~/.local        for you alone; log in again where ~/.local/bin is new
  cpack --config build/CPackConfig.cmake         a Debian package in build, for other machines; needs dpkg-dev
TEXT
