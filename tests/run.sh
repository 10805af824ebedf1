#!/bin/sh
# Every test: first those that can share the machine, two at a time, then those that need it for themselves.
set -eu
cd "$(dirname "$0")/.."
failed=0
.venv/bin/python -m pytest tests -q -n 2 -m "not browser and not acceptance" || failed=1
.venv/bin/python -m pytest tests -q -m "browser or acceptance" || failed=1
exit $failed
