"""Measure all, or those whose interval or world has a word in it, and print the table."""

import sys

from benchmarks.coverage import SCENARIOS, measure, table

repetitions = int(sys.argv[1]) if len(sys.argv) > 1 else 2_000
wanted = sys.argv[2] if len(sys.argv) > 2 else ""
asked = [one for one in SCENARIOS if wanted in f"{one.interval}, {one.world}"]
for line in table([measure(one, repetitions) for one in asked]):
    print(line)
