"""How often the intervals that the program shows hold what is true, by simulation from a seed.

``python -m benchmarks.coverage REPETITIONS`` prints the table of ``benchmarks/README.md``. Every scenario makes records
of a known truth and asks the very functions that the pages ask. Where the program gives no interval, that is counted
apart: it is silence, not a miss.
"""

from benchmarks.coverage.between_scans import BETWEEN_SCANS
from benchmarks.coverage.measuring import Covered, Scenario, measure, table
from benchmarks.coverage.worlds import SEEN_AT_ONCE

SCENARIOS = [*SEEN_AT_ONCE, *BETWEEN_SCANS]

__all__ = ["SCENARIOS", "Covered", "Scenario", "measure", "table"]
