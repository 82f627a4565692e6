# Sourced by cmd/quickstart.sh, tests/run.sh and .ci/run: installs what is missing on Debian 12, then configures and
# builds. Nothing is installed, and no network is used, when everything is there.
#
#   deckmark_setup BUILD_FOLDER TARGET [cmake options ...]

deckmark_top=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
deckmark_cores=$(nproc 2>/dev/null || echo 2)

# mawk is what the benchmark compares with.
deckmark_packages=(g++ cmake ninja-build pkg-config libboost-dev libboost-program-options-dev libproj-dev proj-data
  libgeographiclib-dev doctest-dev libeigen3-dev libfmt-dev libtomlplusplus-dev libssl-dev nlohmann-json3-dev mawk)

# What .ci/run needs besides; nobody else has to have it.
deckmark_ci_packages=(clang-14 clang-format-14)

deckmark_missing_packages() {
  local package
  for package in "$@"; do
    [ "$(dpkg-query -W -f='${db:Status-Status}' "$package" 2>/dev/null)" = installed ] || printf '%s\n' "$package"
  done
}

# deckmark_install PACKAGE ...
deckmark_install() {
  if ! command -v dpkg-query >/dev/null 2>&1; then
    echo "setup: this is not a Debian system; these packages (Debian 12 names) must be there: $*" >&2
    return 0
  fi
  local missing as_root=()
  mapfile -t missing < <(deckmark_missing_packages "$@")
  [ "${#missing[@]}" -eq 0 ] && return 0
  if [ "$(id -u)" -ne 0 ]; then
    if ! command -v sudo >/dev/null 2>&1; then
      echo "setup: packages are missing and neither root nor sudo is at hand to install them." >&2
      echo "       As root, run: apt-get update && apt-get install --no-install-recommends ${missing[*]}" >&2
      return 1
    fi
    as_root=(sudo)
  fi
  echo "setup: installing ${missing[*]}"
  "${as_root[@]}" apt-get -qq update &&
    "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get -qq install -y --no-install-recommends "${missing[@]}" >/dev/null
}

deckmark_setup() {
  local build=$1 target=$2 generator=()
  shift 2
  deckmark_install "${deckmark_packages[@]}" || return 1
  [ -f "$build/CMakeCache.txt" ] || generator=(-G Ninja)
  echo "setup: building into ${build#"$deckmark_top"/} with $deckmark_cores cores (the first time takes some minutes)"
  mkdir -p "$build" || return 1
  cmake -S "$deckmark_top" -B "$build" "${generator[@]}" "$@" >"$build/configure.log" 2>&1 ||
    { cat "$build/configure.log" >&2; echo "setup: cmake could not configure the build" >&2; return 1; }
  cmake --build "$build" --target "$target" -j "$deckmark_cores" >"$build/build.log" 2>&1 ||
    { grep -aE -A12 'FAILED|error' "$build/build.log" | head -60 >&2; echo "setup: the build failed; all of it: $build/build.log" >&2; return 1; }
}

# Warnings are errors where CI is true; a user's newer compiler must not stop them.
deckmark_options() {
  if [ "${CI:-}" = true ]; then
    printf '%s\n' -DCMAKE_BUILD_TYPE=Release -DDECKMARK_WERROR=ON -DCMAKE_VERIFY_INTERFACE_HEADER_SETS=ON
  else
    printf '%s\n' -DCMAKE_BUILD_TYPE=Release -DDECKMARK_WERROR=OFF
  fi
}
