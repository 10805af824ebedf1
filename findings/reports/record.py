"""What a condition report says, as facts: the snapshot that is drawn on paper, embedded in it, and kept.

Everything on the paper is drawn from a ``Record`` alone, and a ``Record`` goes to JSON and back without loss. Decimals
are strings there and times ISO 8601 with the shop's offset. ``docs/report-schema.json`` is the published form.
"""

from __future__ import annotations

import json
import types
import typing
from dataclasses import dataclass, fields, is_dataclass
from datetime import date, datetime
from decimal import Decimal
from functools import cache
from typing import Any, get_args, get_origin, get_type_hints

from engineering.canonical import plain_decimal
from engineering.faults.evidence import FaultState

FORMAT = "condition-report/3"
KNOWN_FORMATS = frozenset({"condition-report/1", "condition-report/2", FORMAT})
"""Records are read in the form that they were signed in: what an older one did not say yet stays unsaid."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopFacts:
    """The shop that answers for the report."""

    name: str
    address: str
    phone: str
    email: str
    time_zone: str
    units: str = "us"


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonFacts:
    """Somebody of the shop who stands for a part of the report."""

    name: str
    role: str
    qualification: str
    license: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CustomerFacts:
    """Who brought the boat to this job, and for whom the report is."""

    name: str
    contact: str
    address: str


@dataclass(frozen=True, slots=True, kw_only=True)
class VesselFacts:
    """The hull as at the job. ``changed_since`` tells what the shop's records call it by now, where that differs."""

    name: str
    hin: str
    hin_remark: str
    registration: str
    kind: str
    maker: str
    model: str
    model_year: int | None
    length_m: Decimal | None
    owner: str = ""
    changed_since: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class EngineFacts:
    """One engine that was in the boat on the job, with its true hours at the last time somebody read them by its end.

    ``removed_on`` is there where it was taken out before the job ended, ``hours_in_doubt`` where its hours ran faster
    than the clock.
    """

    position: str
    maker: str
    model: str
    family: str
    serial: str
    year: int | None
    fuel: str
    rated_power_kw: Decimal | None
    rated_rpm_low: int | None
    rated_rpm_high: int | None
    gear_ratio: Decimal | None
    propeller: str
    hours: Decimal | None
    hours_at: datetime | None
    meter_replaced: bool
    removed_on: date | None = None
    changed_since: tuple[str, ...] = ()
    hours_in_doubt: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitFacts:
    """One control unit with what it last said it was; ``read_earlier`` names what was not read on that day."""

    name: str
    engine: str
    code_system: str
    serial: str
    hardware: str
    software: str
    calibration: str
    identified_at: datetime | None
    read_earlier: tuple[str, ...] = ()


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
    are "complete", "partial" or "not scanned"; after means after the last work about its codes. Of an engine both are
    empty. ``readings`` were measured, or worked out of what instruments showed; ``calculated`` of figures alone.
    """

    engine: str
    unit: str
    arrival: str
    after: str
    readings: int
    calculated: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class IssueFacts:
    """What signing adds: number, code, signer and where to check. Absent from a draft."""

    number: str
    code: str
    supersedes: str
    signed_at: datetime
    signer: PersonFacts
    verify_url: str
    reviewed_by_signer: bool | None = None
    log_number: int | None = None
    log_head: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Findings:
    """What was found, before anybody signs."""

    shop: ShopFacts
    customer: CustomerFacts
    vessel: VesselFacts
    job: JobFacts
    reviewer: PersonFacts | None
    reviewed_at: datetime | None
    summary: str
    remarks: str
    engines: tuple[EngineFacts, ...]
    units: tuple[UnitFacts, ...]
    scans: tuple[ScanFacts, ...]
    faults: tuple[FaultFacts, ...]
    readings: tuple[ReadingFacts, ...]
    lines: tuple[LineFacts, ...]
    work: tuple[WorkFacts, ...]
    recommendations: tuple[Recommendation, ...]
    not_inspected: tuple[str, ...]
    cautions: tuple[str, ...]
    coverage: tuple[CoverageFacts, ...] = ()
    inspection: InspectionFacts | None = None
    revision: RevisionFacts | None = None
    other_parts: tuple[PartFacts, ...] = ()
    clears: tuple[ClearFacts, ...] | None = None
    """Every clear of the units by the job's end. None in a record of an older form, which does not say."""
    results: tuple[ResultFacts, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """The whole record: the findings, and their issue once they are signed."""

    format: str
    issue: IssueFacts | None
    findings: Findings


URGENCIES = {"before next use": "Before next use", "soon": "Soon", "watch": "Watch"}
T = typing.TypeVar("T")


def to_json(record: Record) -> bytes:
    """The record as people and programs read it: UTF-8, indented, in the order of the paper."""
    return json.dumps(_plain(record), ensure_ascii=False, indent=1).encode()


def from_json(data: bytes | str) -> Record:
    """The record that ``to_json`` wrote, now or in an older form.

    Raises:
        ValueError: it is not one of a known format.
    """
    facts = json.loads(data)
    if not isinstance(facts, dict) or facts.get("format") not in KNOWN_FORMATS:
        raise ValueError(f"this is not a record of a known format: {', '.join(sorted(KNOWN_FORMATS))}")
    return _typed(Record, facts)


def plain_facts(facts: Any) -> Any:
    """A record or a part of one as plain JSON values."""
    return _plain(facts)


def _plain(value: Any) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    if isinstance(value, Decimal):
        return plain_decimal(value)
    if isinstance(value, date):
        return value.isoformat()
    return value


@cache
def _hints(kind: type) -> dict[str, Any]:
    return get_type_hints(kind)


def _typed(kind: type[T], value: Any) -> T:
    made: Any = _value_of(kind, value)
    return typing.cast("T", made)


def _value_of(kind: Any, value: Any) -> Any:
    origin = get_origin(kind)
    if origin in {types.UnionType, typing.Union}:
        if value is None:
            return None
        return _value_of(next(option for option in get_args(kind) if option is not types.NoneType), value)
    if origin is tuple:
        return tuple(_value_of(get_args(kind)[0], item) for item in value)
    if is_dataclass(kind):
        hints = _hints(typing.cast("type", kind))
        return kind(**{name: _value_of(hints[name], item) for name, item in value.items()})  # type: ignore[operator]
    reads: dict[Any, typing.Callable[[Any], Any]] = {
        Decimal: Decimal,
        datetime: datetime.fromisoformat,
        date: date.fromisoformat,
    }
    return reads[kind](value) if kind in reads else value
