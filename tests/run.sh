#!/bin/sh
# Every check and every test, to the end even when one fails: first the tests that can share the machine, two at a time,
# then those that need it for themselves.
set -eu
cd "$(dirname "$0")/.."
failed=0
make --no-print-directory check || failed=1
.venv/bin/python -m pytest tests -q -n 2 -m "not browser and not acceptance" || failed=1
.venv/bin/python -m pytest tests -q -m "browser or acceptance" || failed=1
exit $failed
