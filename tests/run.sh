#!/bin/sh
# Every check and every test but the longest (make test-long), to the end even when one fails. Three things at a time:
# the tests that can share the machine, two at a time; the checks, which have one core for long; and the tests with real
# processes and with browsers, three files at a time and the longest first, as they spend half of their time waiting for
# each other's start and end. What the last two say is shown behind the first.
set -eu
cd "$(dirname "$0")/.."
failed=0
said=$(mktemp -d)
make --no-print-directory check >"$said/checks" 2>&1 &
checks=$!
.venv/bin/python -m pytest tests/acceptance tests/browser -q -n 3 --dist loadfile --no-loadscope-reorder -m "not long" \
  >"$said/processes" 2>&1 &
processes=$!
trap 'kill $checks 2>/dev/null || true; kill -INT $processes 2>/dev/null || true; wait; rm -rf "$said"' EXIT
trap 'wait; exit 130' INT  # Ctrl-C reaches all of them
trap 'exit 143' TERM
.venv/bin/python -m pytest tests --ignore=tests/browser --ignore=tests/acceptance -q -n 2 -m "not long" || failed=1
for part in checks processes; do
  eval "wait \$$part" || failed=1
  cat "$said/$part"
done
exit $failed
