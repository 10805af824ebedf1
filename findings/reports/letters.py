"""Whether everything that a report says can be printed."""

from __future__ import annotations

from files.paper import letters
from findings.reports.record import Findings, plain_facts


def unprintable(findings: Findings) -> str:
    """What of the findings cannot be printed, and where it stands, in a sentence; empty where all of it can."""
    return letters.unprintable(plain_facts(findings), "report")
