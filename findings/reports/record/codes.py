"""Codes of a report: read-outs, episodes, work, clears, and each fault across its life."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from engineering.faults.evidence import FaultState


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenFacts:
    """One code in one scan, with the status that the unit gave it."""

    code: str
    status: str
    count: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CorrectionFacts:
    """A note of the log that says what is right about what it stands beside: who wrote it, when, and the words."""

    by: str
    at: datetime
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ScanFacts:
    """One read-out of this job. One that does not ``tells_codes`` is of status bits on the boat's network alone.

    Of an instrument of the shop's register, serial number and calibration are those of that day. ``file_sha256`` is
    there where it was read from a CAN log. Of a correction ``by`` is who took the read-out, ``corrected_by`` who
    corrected what was written of it.
    """

    at: datetime
    hours: Decimal | None
    unit: str
    engine: str
    phase: str
    is_complete: bool
    instrument: str
    by: str
    not_understood: int
    seen: tuple[SeenFacts, ...]
    tells_codes: bool = True
    is_correction: bool = False
    corrected_by: str = ""
    instrument_serial: str = ""
    calibrated_on: date | None = None
    calibrated_until: date | None = None
    file_sha256: str = ""
    corrections: tuple[CorrectionFacts, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class EpisodeFacts:
    """One appearance of a fault. ``not_fixed_yet`` where it was back on the very job that had ended the one before."""

    opened_at: datetime
    opened_hours: Decimal | None
    beginning_unknown: bool
    last_status: str
    last_seen_at: datetime
    last_seen_hours: Decimal | None
    closed_at: datetime | None
    closed_hours: Decimal | None
    closed_by: str
    gap_hours: Decimal | None
    gap_days: int | None
    sightings: int
    not_fixed_yet: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkFacts:
    """Work that was done: about one or more faults, or about none. ``engine`` is there where it was on one engine."""

    at: datetime
    hours: Decimal | None
    job: str
    by: str
    text: str
    codes: tuple[str, ...]
    units: tuple[str, ...] = ()
    engine: str = ""
    corrections: tuple[CorrectionFacts, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ClearFacts:
    """Codes of a unit were cleared, on this job or before: those of ``codes``, or all of them where it is empty.

    ``hours`` are there where they were read. ``job`` is empty where it was on none. The log does not hold with which
    instrument it was done.
    """

    at: datetime
    hours: Decimal | None
    unit: str
    engine: str
    codes: tuple[str, ...]
    job: str
    by: str
    text: str
    corrected_by: str = ""
    corrections: tuple[CorrectionFacts, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultFacts:
    """One code across its whole life. ``state`` is derived from the evidence by replay, never typed in."""

    code: str
    system: str
    meaning: str
    unit: str
    engine: str
    state: str
    status_now: str
    says: str
    proven_to_at: datetime | None
    proven_to_hours: Decimal | None
    in_this_job: bool
    episodes: tuple[EpisodeFacts, ...]
    last_work: WorkFacts | None

    @property
    def is_open(self) -> bool:
        """Whether it is there, as far as the evidence goes."""
        return FaultState(self.state).is_open
