#!/bin/sh
# Every check and every test but the longest (make test-long), to the end even when one fails: first the tests that can
# share the machine, two at a time, beside the checks, which have one core for long; then those with the real processes
# and with browsers, three files at a time, as they wait for each other's start and end, and the longest files first.
set -eu
cd "$(dirname "$0")/.."
failed=0
said=$(mktemp)
make --no-print-directory check >"$said" 2>&1 &
checks=$!
trap 'kill $checks 2>/dev/null || true; rm -f "$said"' EXIT INT TERM
.venv/bin/python -m pytest tests --ignore=tests/browser --ignore=tests/acceptance -q -n 2 -m "not long" || failed=1
wait $checks || failed=1
cat "$said"
.venv/bin/python -m pytest tests/acceptance tests/browser -q -n 3 --dist loadfile --no-loadscope-reorder -m "not long" || failed=1
exit $failed
