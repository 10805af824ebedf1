#!/bin/sh
# Every check and every test, to the end even when one fails: first the tests that can share the machine, two at a time,
# then the browsers, two at a time as well, then those that start and kill the real processes and need it for themselves.
# What runs the benchmarks in small stands apart: make test-bench.
set -eu
cd "$(dirname "$0")/.."
failed=0
make --no-print-directory check || failed=1
.venv/bin/python -m pytest tests -q -n 2 -m "not browser and not acceptance and not measuring" || failed=1
.venv/bin/python -m pytest tests/browser -q -n 2 --dist loadfile || failed=1
.venv/bin/python -m pytest tests -q -m "acceptance" || failed=1
exit $failed
