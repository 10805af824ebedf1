"""What else was found and done on the job, beside codes and readings."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from findings.reports.record.codes import CorrectionFacts

SEVERITIES = ("Repair before next use", "Repair soon", "Watch", "No fault seen")
SORTS = ("Alarm", "Limit", "Shutdown", "")
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


@dataclass(frozen=True, slots=True, kw_only=True)
class SettingFacts:
    """A setting that was changed permanently, on an engine, or on the vessel where ``engine`` is empty.

    ``sort`` is one of ``SORTS``, empty where it is of none of them. Values have their units; ``before`` is empty where
    it was not known. ``consent`` says who of the customer's side consented, how and when. ``job`` is the job on which
    it was changed: an alarm, a limit or a shutdown is told on every job until it is set back. ``set_back_to``,
    ``set_back_at`` and ``set_back_by`` are there where it was, by the end of the job. Of a correction ``by`` is who
    changed the setting, ``corrected_by`` who corrected what was written of it.
    """

    at: datetime
    hours: Decimal | None
    engine: str
    setting: str
    sort: str
    before: str
    after: str
    text: str
    authority: str
    consent: str
    job: str
    by: str
    corrected_by: str = ""
    set_back_at: datetime | None = None
    set_back_to: str = ""
    set_back_by: str = ""
    corrections: tuple[CorrectionFacts, ...] = ()
