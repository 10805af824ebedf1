"""The job of a report: its lines and parts, how it was inspected, what is recommended, and what was looked at."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

URGENCIES = {"before next use": "Before next use", "soon": "Soon", "watch": "Watch"}


@dataclass(frozen=True, slots=True, kw_only=True)
class PartFacts:
    """One part that was fitted on the job, or only charged, with who wrote it down and when.

    Of one that was fitted ``at`` is when that was, and the log has it: in which condition, with which serial number, on
    which engine at how many hours.
    """

    number: str
    description: str
    quantity: Decimal
    by: str
    at: datetime
    is_fitted: bool = False
    condition: str = ""
    serial: str = ""
    engine: str = ""
    hours: Decimal | None = None
    is_correction: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LineFacts:
    """One concern of the customer's with what was found and done, by whom, when and with which parts.

    ``done_by`` and ``done_on`` say who made the correction and on which day, where somebody said so; ``corrected_by``
    and ``corrected_at`` say who wrote it down last, and when.
    """

    engine: str
    concern: str
    cause: str
    correction: str
    corrected_by: str = ""
    corrected_at: datetime | None = None
    parts: tuple[PartFacts, ...] = ()
    done_by: tuple[str, ...] = ()
    done_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class InspectionFacts:
    """Where, when and before whom it was looked at. ``first_at`` and ``last_at`` are of what the job logged.

    ``hin_found`` says whether the HIN was read on the hull; empty where nobody said.
    """

    place: str
    afloat: str
    attended: str
    inspected_on: date | None
    first_at: datetime | None
    last_at: datetime | None
    hin_found: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RevisionFacts:
    """The report that this one takes the place of, why, and what became different in the record."""

    number: str
    signed_at: datetime
    signed_by: str
    withdrawn_at: datetime | None
    withdrawal_reason: str
    why: str
    changed: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Recommendation:
    """What the shop recommends. ``urgency`` is one of ``URGENCIES``."""

    urgency: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class JobFacts:
    """The job that the report is made from. ``ended_at`` is there once it ended: all facts are as at that time."""

    number: str
    opened_at: datetime
    condition_on_arrival: str
    ended_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CoverageFacts:
    """What was looked at on the job: an engine with its readings, or one of its units with its scans.

    ``unit`` is empty for the engine itself, ``engine`` is empty for the vessel. Of a unit, ``arrival`` and ``after``
    are "complete", "partial" or "not scanned"; after means after the last work about its codes, by a record of wording
    3 or later also after the last clear of any, and is empty where neither is logged. ``other`` is of its other scans.
    Of an engine all are empty. ``readings`` were measured, or worked out of what instruments showed; ``calculated`` of
    figures alone.
    """

    engine: str
    unit: str
    arrival: str
    after: str
    readings: int
    calculated: int = 0
    other: str = ""
