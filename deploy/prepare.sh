#!/bin/sh
# Makes .venv and installs what is missing, and nothing when nothing is.
#   sh deploy/prepare.sh base    what the program needs
#   sh deploy/prepare.sh dev     what the checks and tests need as well
set -eu
cd "$(dirname "$0")/.."
what=${1:?base or dev}
venv=.venv
export DEBIAN_FRONTEND=noninteractive PIP_DISABLE_PIP_VERSION_CHECK=1 PIP_ROOT_USER_ACTION=ignore

say() { printf '%s\n' "$*" >&2; }

# --- system packages ----------------------------------------------------------------------------------------------

updated=no
as_root() {
    if [ "$(id -u)" = 0 ]; then "$@"
    elif command -v sudo >/dev/null 2>&1; then sudo -- env DEBIAN_FRONTEND=noninteractive "$@"
    else return 1; fi
}

# install "why" package…: with apt-get, else say what is missing and end.
install() {
    why=$1; shift
    say "Installing $* ($why)."
    if command -v apt-get >/dev/null 2>&1; then
        heard=$(mktemp)
        [ $updated = yes ] || as_root apt-get update -qq >"$heard" 2>&1 || true
        updated=yes
        if as_root apt-get install -y -qq --no-install-recommends "$@" >>"$heard" 2>&1; then rm -f "$heard"; return 0; fi
        tail -n 20 "$heard" >&2
        rm -f "$heard"
    fi
    say ""
    say "Missing: $why. Install these Debian packages, or what they are called on this system, and try again:"
    say "    $*"
    exit 1
}

good_python() { "$1" -c 'import sys; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1; }

find_python() {
    for candidate in ${PYTHON:-} python3 python3.13 python3.12 python3.11 python3.14; do
        if command -v "$candidate" >/dev/null 2>&1 && good_python "$candidate"; then
            printf '%s' "$candidate"; return 0
        fi
    done
    return 1
}

# The libraries that WeasyPrint opens by name when the program starts.
pango_is_there() {
    "$1" - <<'PY' >/dev/null 2>&1
import ctypes, ctypes.util
for names in [["libgobject-2.0.so.0", "gobject-2.0"], ["libpango-1.0.so.0", "pango-1.0"], ["libharfbuzz.so.0", "harfbuzz"],
              ["libharfbuzz-subset.so.0", "harfbuzz-subset"], ["libfontconfig.so.1", "fontconfig"], ["libpangoft2-1.0.so.0", "pangoft2-1.0"]]:
    for name in [names[0], ctypes.util.find_library(names[1])]:
        try:
            ctypes.CDLL(name) if name else None
        except OSError:
            continue
        if name:
            break
    else:
        raise SystemExit(1)
PY
}

python=$(find_python) || { install "Python 3.11 or newer" python3 python3-venv; python=$(find_python) || {
    say "Python 3.11 or newer is needed; this system's is older. Install one and say PYTHON=/path/to/it make …"; exit 1; }; }
if [ ! -x $venv/bin/python ]; then
    "$python" -c 'import venv, ensurepip' >/dev/null 2>&1 || install "Python's venv" python3-venv
fi
pango_is_there "$python" || install "Pango and HarfBuzz, for the PDF" libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0

if [ "$what" = dev ]; then
    missing=
    # Chromium without its windows does the same for half of the processor time; where the whole one is there, and no
    # right to install, that one will do.
    if ! command -v chromium-headless-shell >/dev/null 2>&1; then
        if ! command -v chromium >/dev/null 2>&1; then missing="$missing chromium-headless-shell"
        elif [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then
            { apt-get update -qq && apt-get install -y -qq --no-install-recommends chromium-headless-shell; } >/dev/null 2>&1 || true
        fi
    fi
    command -v redis-server >/dev/null 2>&1 || missing="$missing redis-server"
    command -v pdfsig >/dev/null 2>&1 || missing="$missing poppler-utils"
    command -v qpdf >/dev/null 2>&1 || missing="$missing qpdf"
    ls /usr/lib/postgresql/*/bin/initdb >/dev/null 2>&1 || command -v initdb >/dev/null 2>&1 || missing="$missing postgresql"
    # shellcheck disable=SC2086  # a list of words
    [ -z "$missing" ] || install "what the tests drive" $missing
fi

# --- Python packages ----------------------------------------------------------------------------------------------

if [ -x $venv/bin/python ] && ! good_python $venv/bin/python; then
    say "The Python of $venv is gone or too old; making $venv anew."
    rm -rf $venv
fi
if [ ! -x $venv/bin/pip ]; then
    say "Making $venv with $("$python" --version)."
    "$python" -m venv $venv
fi

digest() { $venv/bin/python -c 'import hashlib, sys; print(hashlib.sha256(b"".join(open(f, "rb").read() for f in sys.argv[1:])).hexdigest())' "$@"; }

mark=$venv/installed
base=$(digest requirements/base.txt)
if [ "$what" = dev ]; then wanted="dev $(digest requirements/base.txt requirements/dev.txt)"; else wanted="base $base"; fi
if ! grep -qxF "$wanted" $mark 2>/dev/null; then
    say "Installing requirements/$what.txt."
    # The lists are whole, so that nothing is left to resolve; a developer's 1 GB is compiled where it is imported.
    fast=; [ "$what" = base ] || fast=--no-compile
    # Two at a time, as one would leave a core idle; pip itself, which both are, comes last.
    lists=$(mktemp -d)
    awk -v into="$lists" '/^[^ #]/ { part = /^pip==/ ? "last" : n++ % 2 } part != "" { print > (into "/" part) }' \
        "requirements/$what.txt"
    # A command and its words: a function beside this would be ended without its pip.
    from_list="$venv/bin/python -m pip install --quiet --no-deps $fast --require-hashes -r"
    $from_list "$lists/0" &
    beside=$!
    trap 'kill $beside 2>/dev/null || true; wait; rm -rf "$lists"' EXIT
    trap 'exit 130' INT
    trap 'exit 143' TERM
    $from_list "$lists/1"
    wait $beside
    [ ! -e "$lists/last" ] || $from_list "$lists/last"
    $venv/bin/python -m pip check --quiet
    { echo "base $base"; [ "$what" = base ] || echo "$wanted"; } >$mark
fi
