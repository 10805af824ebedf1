"""What else was found and done on the job, beside codes and readings."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from findings.reports.record.codes import CorrectionFacts

SEVERITIES = ("Repair before next use", "Repair soon", "Watch", "No fault seen")
VERDICTS = ("Worked", "Did not work", "Not conclusive")


@dataclass(frozen=True, slots=True, kw_only=True)
class VisualFacts:
    """What somebody saw on an engine, or on the vessel where ``engine`` is empty. ``place`` says where on it.

    ``severity`` is one of ``SEVERITIES``. Of a correction ``by`` is who saw it, ``corrected_by`` who corrected it.
    """

    at: datetime
    hours: Decimal | None
    engine: str
    place: str
    text: str
    severity: str
    recommendation: str
    by: str
    corrected_by: str = ""
    corrections: tuple[CorrectionFacts, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FunctionTestFacts:
    """What was driven or operated for a moment, on an engine, or on the vessel where ``engine`` is empty.

    ``lasted`` is how long in words, empty where nobody said; ``text`` what happened; ``verdict`` one of ``VERDICTS``.
    Of a correction ``by`` is who drove it, ``corrected_by`` who corrected what was written of it.
    """

    at: datetime
    hours: Decimal | None
    engine: str
    operated: str
    lasted: str
    text: str
    verdict: str
    by: str
    corrected_by: str = ""
    corrections: tuple[CorrectionFacts, ...] = ()
