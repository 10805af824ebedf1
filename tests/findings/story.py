"""Telling a fault's story in tests: what happened to the cast's boat, in hours and days."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

from engineering.codes import Code, CodeStatus, CodeSystem
from findings.faults.actions import CodeSeen, clear_codes, log_scan, log_work
from findings.faults.models import Clear, Fault, Scan, WorkDone
from tests.cast import Cast
from vessels.models import ControlUnit
from workorders.models import Job, JobNumber

DAY_ZERO = datetime(2025, 4, 1, 12, 0, tzinfo=UTC)
OIL = Code(CodeSystem.SPN, "100-1")
COOLANT = Code(CodeSystem.SPN, "110-0")
LEAN = Code(CodeSystem.OBD, "P0171")


def at(day: float) -> datetime:
    return DAY_ZERO + timedelta(days=day)


def seen(code: Code, status: str = "active", count: int | None = None) -> CodeSeen:
    return CodeSeen(code, CodeStatus(status), count)


def scan(
    cast: Cast,
    day: float,
    hours: float | None,
    codes: Sequence[CodeSeen] = (),
    *,
    unit: ControlUnit | None = None,
    complete: bool = True,
    phase: str = "arrival",
    **more: Any,
) -> Scan:
    return log_scan(
        by=cast.tech,
        unit=unit or cast.port_unit,
        phase=phase,
        is_complete=complete,
        codes=codes,
        engine_hours=None if hours is None else Decimal(str(hours)),
        happened_at=at(day),
        **more,
    )


def clear(
    cast: Cast,
    day: float,
    hours: float | None,
    faults: Sequence[Fault] | None = None,
    *,
    unit: ControlUnit | None = None,
    **more: Any,
) -> Clear:
    return clear_codes(
        by=cast.tech,
        unit=unit or cast.port_unit,
        faults=faults,
        engine_hours=None if hours is None else Decimal(str(hours)),
        happened_at=at(day),
        **more,
    )


def work(
    cast: Cast,
    day: float,
    hours: float | None,
    faults: Sequence[Fault],
    text: str = "Replaced the sender.",
    **more: Any,
) -> WorkDone:
    return log_work(
        by=cast.tech,
        vessel=cast.vessel,
        faults=faults,
        text=text,
        engine_hours=None if hours is None else Decimal(str(hours)),
        happened_at=at(day),
        **more,
    )


def fault(code: Code = COOLANT, unit: ControlUnit | None = None) -> Fault:
    rows = Fault.objects.filter(system=code.system.value, code=code.text)
    return rows.get(unit=unit) if unit else rows.get()


def open_job(cast: Cast, day: float = 0) -> Job:
    """A plain row, without any log entry."""
    numbers, _ = JobNumber.objects.get_or_create(pk=1)
    numbers.last += 1
    numbers.save()
    job = Job.objects.create(
        number=numbers.last,
        vessel=cast.vessel,
        customer=cast.customer,
        opened_by=cast.desk,
        opened_at=at(day),
        state="in-work",
    )
    job.lines.create(position=1, concern="Alarm sounds above 3000 rpm")
    return job
