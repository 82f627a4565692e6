#!/usr/bin/env bash
# Makes the Debian package, lets lintian judge it, unpacks it and runs what is in it from another folder.
#
#   bash tests/package.sh
set -eu -o pipefail
. "$(dirname "${BASH_SOURCE[0]}")/../cmd/setup.sh"
for tool in dpkg-shlibdeps lintian; do
  command -v "$tool" >/dev/null || { echo "package: $tool is missing; as root: apt-get install dpkg-dev lintian" >&2; exit 1; }
done

build=$deckmark_top/build
if [ ! -f "$build/CMakeCache.txt" ]; then
  mapfile -t options < <(deckmark_options)
  deckmark_setup "$build" deckmark "${options[@]}"
fi
cmake --build "$build" --target deckmark >/dev/null
rm -f "$build"/deckmark_*.deb
(cd "$build" && cpack >cpack.log 2>&1) || { cat "$build/cpack.log" >&2; exit 1; }
package=$(echo "$build"/deckmark_*.deb)
dpkg-deb --field "$package" Package Version Depends
lintian --allow-root --fail-on error "$package"

room=$(mktemp -d)
trap 'rm -rf "$room"' EXIT
dpkg-deb --extract "$package" "$room"
cd /
"$room/usr/bin/deckmark" --version
for job in "$room"/usr/share/deckmark/examples/*/; do
  "$room/usr/bin/deckmark" --quiet check "$job" || [ $? -eq 1 ] || { echo "package: $job cannot be read" >&2; exit 1; }
done
# A manual with a fault of form is none.
for page in "$room"/usr/share/man/man*/*.gz; do
  [ -e "$page" ] || continue
  gzip -dc "$page" | MANROFFSEQ='' LC_ALL=C.UTF-8 man --warnings -E UTF-8 -l -Tutf8 -Z - 2>&1 >/dev/null | tee "$room/told"
  [ ! -s "$room/told" ] || { echo "package: ${page##*/} has faults" >&2; exit 1; }
done
echo "package: ${package##*/} is fine"
