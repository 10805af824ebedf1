"""What was measured and what was calculated."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from findings.reports.record.codes import CorrectionFacts


@dataclass(frozen=True, slots=True, kw_only=True)
class InputFacts:
    """One value that a reading was worked out from, as it was entered."""

    label: str
    value: str
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkingFacts:
    """How a reading was worked out: by which calculation, from what, by which formula from which source.

    ``is_measured`` where that was what instruments showed of the engine, and not figures alone.
    """

    title: str
    inputs: tuple[InputFacts, ...]
    outcome: str
    formula: str
    source: str
    is_measured: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingFacts:
    """One reading of this job and the limits it was held against, all in ``unit``.

    ``working`` is there where the value was worked out and not read, ``file_sha256`` where it was read from a CAN log.
    Of an instrument of the shop's register, serial number and calibration are those of that day. Of a correction ``by``
    is who took the reading, ``corrected_by`` who corrected it. ``remark`` says what is odd about a value that was kept.
    Where the value of a CAN log was corrected, ``by_hand`` says by whom and what the log had: the value is in no log.
    """

    at: datetime
    hours: Decimal | None
    engine: str
    parameter: str
    value: Decimal
    unit: str
    unit_label: str
    minimum: Decimal | None
    maximum: Decimal | None
    condition: str
    instrument: str
    phase: str
    low: Decimal | None
    nominal: Decimal | None
    high: Decimal | None
    limits_from: str
    verdict: str
    says: str
    working: WorkingFacts | None = None
    by: str = ""
    instrument_serial: str = ""
    calibrated_until: date | None = None
    is_correction: bool = False
    calibrated_on: date | None = None
    file_sha256: str = ""
    corrected_by: str = ""
    remark: str = ""
    by_hand: str = ""
    corrections: tuple[CorrectionFacts, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ResultFacts:
    """A calculated result in words, which is no reading of one parameter. ``title`` says of what it is."""

    at: datetime
    hours: Decimal | None
    title: str
    text: str
    by: str
