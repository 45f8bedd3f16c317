#!/usr/bin/env bash
# Is everything whole on a machine that is not ours? Builds a bare Debian in a folder (nothing but what debootstrap calls
# minbase, certificates and git; the .NET SDK is lent by this machine), clones this checkout's last commit into it, and
# runs there what README.md and DEVELOPERS.md promise: ./run demo, a match of two clips, a cut test, ./run test.
# Root only. What it fetches is kept for the next run in the folder TONEMATCH_BARE_CACHE (~/.cache/tonematch-bare).
set -euo pipefail
export LC_ALL=C

root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
cache=${TONEMATCH_BARE_CACHE:-${XDG_CACHE_HOME:-$HOME/.cache}/tonematch-bare}

say() { printf '%s\n' "$*" >&2; }

usage() {
  cat <<'TEXT'
tests/fresh-machine.sh [--without-suite] [bookworm|trixie|sid]...
  Debian 12 and 13 when none is named. --without-suite leaves out ./run test, which takes longest.
TEXT
}

# The mirror this machine itself uses, so that a site's own is used where there is one.
mirror() {
  local own
  own=$(apt-get indextargets --format '$(REPO_URI)' 'Created-By: Packages' 2>/dev/null | grep -E '/debian/?$' | head -1) || true
  printf '%s\n' "${TONEMATCH_DEBIAN_MIRROR:-${own:-http://deb.debian.org/debian}}"
}

# How this machine reaches the network holds in the folder too: proxies, certificates of the site, package sources.
lend_network() {
  local bare=$1
  cp -L /etc/resolv.conf "$bare/etc/resolv.conf"
  apt-config dump Acquire 2>/dev/null | grep -E '^Acquire::(http|https|ftp)::' >"$bare/etc/apt/apt.conf.d/90host" || true
  printf '%s\n' 'APT::Sandbox::User "root";' 'Acquire::Check-Valid-Until "false";' >"$bare/etc/apt/apt.conf.d/91bare"
  if compgen -G '/usr/local/share/ca-certificates/*.crt' >/dev/null; then
    mkdir -p "$bare/usr/local/share/ca-certificates"
    cp /usr/local/share/ca-certificates/*.crt "$bare/usr/local/share/ca-certificates/"
    chroot "$bare" update-ca-certificates >/dev/null 2>&1
  fi
  if [ -f "$HOME/.nuget/NuGet/NuGet.Config" ]; then
    mkdir -p "$bare/root/.nuget/NuGet"
    cp "$HOME/.nuget/NuGet/NuGet.Config" "$bare/root/.nuget/NuGet/"
  fi
}

# A bare system; the archive of it is a week fresh, since the releases change slowly and unstable does not matter to the day.
make_bare() {
  local release=$1 bare=$2 archive="$cache/$1.tar"
  mkdir -p "$bare" "$cache"
  if [ -z "$(find "$archive" -mtime -7 2>/dev/null)" ]; then
    debootstrap --variant=minbase --include=ca-certificates,git "$release" "$bare" "$(mirror)" >"$cache/$release.log" 2>&1 \
      || { tail -5 "$cache/$release.log" >&2; return 1; }
    tar -C "$bare" --exclude='./var/cache/apt/archives/*.deb' -cf "$archive.part" . && mv "$archive.part" "$archive"
  else
    tar -C "$bare" -xf "$archive"
  fi
}

lend() {
  local from=$1 to=$2
  mkdir -p "$to"
  mount --bind "$from" "$to"
}

lend_read_only() {
  lend "$1" "$2"
  mount -o remount,bind,ro "$2"
}

# Runs a command in the folder as a user who has just logged in, with nothing of this machine's environment but the way out.
inside() {
  local bare=$1 name
  shift
  local environment=(HOME=/root USER=root LANG=C.UTF-8 TERM=dumb PATH=/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin)
  for name in http_proxy https_proxy no_proxy HTTP_PROXY HTTPS_PROXY NO_PROXY NUGET_CERT_REVOCATION_MODE; do
    [ -n "${!name:-}" ] && environment+=("$name=${!name}")
  done
  chroot "$bare" env -i "${environment[@]}" bash -c "cd /home/tonematch && $*" </dev/null
}

# step NAME FOLDER COMMAND: one promise; what was said is shown where it is not kept.
step() {
  local name=$1 bare=$2 started=$SECONDS log
  shift 2
  log="$bare/home/$name.log"
  if inside "$bare" "$@" >"$log" 2>&1; then
    say "  $name: done in $((SECONDS - started)) s"
  else
    say "  $name: FAILED with $? ($*)"
    grep -A 8 '^failed ' "$log" | head -80 >&2 || true
    tail -40 "$log" >&2
    return 1
  fi
}

# The match's own figure comes first; places and instants have theirs after it.
number() { tr -d '\n' <"$1" | grep -oE "\"$2\": \{[^}]*\"mean\": [0-9.]+" | sed -n '1s/.*"mean": //p'; }

# What other readers see of a clip must be what was meant.
tags_are_bt709() {
  local bare=$1 clip=$2 seen
  seen=$(inside "$bare" "ffprobe -v error -select_streams v:0 -show_entries stream=color_range,color_space,color_transfer,color_primaries -of default=noprint_wrappers=1:nokey=1 $clip" | sort | tr '\n' ' ')
  [ "$seen" = "bt709 bt709 bt709 tv " ] || { say "  $clip: colour tags read back as $seen"; return 1; }
}

check_release() {
  local release=$1 bare=$2 with_suite=$3 status=0
  say "$release: building a bare system ..."
  make_bare "$release" "$bare"
  lend_network "$bare"
  mount -t proc proc "$bare/proc"
  mount --rbind /dev "$bare/dev"
  mkdir -p "$cache/nuget" "$cache/apt-$release/partial"
  lend "$cache/nuget" "$bare/root/.nuget/packages"
  lend "$cache/apt-$release" "$bare/var/cache/apt/archives"
  lend_read_only "$(dirname "$(readlink -f "$(command -v dotnet)")")" "$bare/usr/share/dotnet"
  ln -sf /usr/share/dotnet/dotnet "$bare/usr/bin/dotnet"
  local data=${TONEMATCH_TESTDATA:-$root/../shared/testdata}
  if [ -d "$data" ]; then lend_read_only "$data" "$bare/home/shared/testdata"; fi
  git -c safe.directory='*' clone -q --no-hardlinks "$root" "$bare/home/tonematch"

  step demo "$bare" ./run demo --out /home/demo || return 1
  local match="$bare/home/demo/match/match.json" before after suite="not run"
  before=$(number "$match" before) after=$(number "$match" after)
  grep -q '"method": "chart"' "$match" && awk "BEGIN { exit !($after < 1.6) }" \
    || { say "  demo: method or Delta E is not as it should be (Delta E $after after)"; status=1; }
  step match "$bare" ./run tonematch match /home/demo/potter-wide.mp4 /home/demo/potter-hands.mp4 --out /home/match || status=1
  step cut-test "$bare" ./run tonematch render /home/demo/potter-hands.mp4 --correction /home/demo/match/correction.cube --cut-test /home/demo/potter-wide.mp4 --out /home/cut.mp4 || status=1
  for clip in /home/demo/potter-wide.mp4 /home/demo/potter-hands.mp4 /home/cut.mp4; do
    tags_are_bt709 "$bare" "$clip" || status=1
  done
  if [ "$with_suite" = yes ]; then
    step suite "$bare" ./run test || status=1
    suite=$(grep -E '^[0-9]+ passed, ' "$bare/home/suite.log" | tail -1) || suite="no counts"
  fi
  local ffmpeg
  ffmpeg=$(inside "$bare" ffmpeg -version | sed -n '1s/ffmpeg version \([^ ]*\).*/\1/p')
  printf '%s: %s; FFmpeg %s; demo Delta E %.2f before, %.2f after; suite: %s\n' \
    "$release" "$([ $status -eq 0 ] && echo whole || echo FAULTS)" "$ffmpeg" "$before" "$after" "$suite"
  return "$status"
}

if [ "${1:-}" = --in-own-mounts ]; then
  shift
  check_release "$@"
  exit
fi

with_suite=yes releases=()
for word in "$@"; do
  case "$word" in
    --without-suite) with_suite=no ;;
    bookworm | trixie | sid) releases+=("$word") ;;
    *) usage >&2; exit 2 ;;
  esac
done
[ ${#releases[@]} -gt 0 ] || releases=(bookworm trixie)
[ "$(id -u)" -eq 0 ] || { say "This needs root: it makes a system in a folder."; exit 3; }
for program in debootstrap unshare git dotnet; do
  command -v "$program" >/dev/null || { say "This needs $program (apt-get install debootstrap util-linux git; the .NET SDK)."; exit 3; }
done

# The folder is removed from outside, where what was lent to it is not mounted: nothing of this machine can be hit. The
# mounts live in a name space of their own and vanish with its last process, whatever ends this script.
work=$(mktemp -d "${TMPDIR:-/var/tmp}/tonematch-bare.XXXXXX")
trap 'rm -rf --one-file-system "$work"' EXIT
trap 'exit 130' INT TERM
status=0
for release in "${releases[@]}"; do
  unshare --mount --propagation private --pid --fork --kill-child \
    "${BASH_SOURCE[0]}" --in-own-mounts "$release" "$work/$release" "$with_suite" || { status=1; say "$release: NOT WHOLE"; }
  rm -rf --one-file-system "${work:?}/$release"
done
exit "$status"
