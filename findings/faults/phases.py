"""When in its job a finding would be made: one rule for scans, pasted texts, readings, CAN logs and the Bench."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from findings.faults.models import Scan
from vessels.log.evidence import SUPERSEDED
from vessels.models import ControlUnit, Engine
from web.rows import figures
from workorders.models import Job

UNKNOWN = ""
"""Nothing is chosen: the form asks."""
_AFTER_WORK = {"sea-trial": "sea-trial", "ready": "delivery", "closed": "delivery"}


_FOUND = f"""
    SELECT count(*) FILTER (WHERE entry.kind = 'work-done' AND ({{of_it}} OR EXISTS (
               SELECT FROM faults_workonfault about JOIN faults_fault fault ON fault.id = about.fault_id
               WHERE about.work_id = entry.id AND {{of_fault}}))) AS works,
           count(*) FILTER (WHERE entry.kind = 'work-done' AND {{work_of_nobody}} OR {{of_it}} AND (
               entry.kind = 'clear'
               OR EXISTS (SELECT FROM faults_scan scan WHERE scan.entry_id = entry.id AND scan.phase <> 'arrival')))
               AS doubts
    FROM vessels_logentry entry
    WHERE entry.job_id = %(job)s AND (%(at)s::timestamptz IS NULL OR entry.happened_at <= %(at)s::timestamptz)
      AND NOT {SUPERSEDED}
"""  # noqa: S608  (put together from what the program says)
"""Work about something in a job, and what leaves a doubt whether there was some, as far as it counts."""
_OF_ENGINE = ("entry.engine_id = %(engine)s", "fault.engine_id = %(engine)s", "entry.engine_id IS NULL")
_OF_UNIT = (
    """(EXISTS (SELECT FROM faults_clear its WHERE its.entry_id = entry.id AND its.unit_id = %(unit)s)
        OR EXISTS (SELECT FROM faults_scan its WHERE its.entry_id = entry.id AND its.unit_id = %(unit)s))""",
    "fault.unit_id = %(unit)s",
    "TRUE",
)
_OF_THE_BOAT = ("entry.engine_id IS NULL", "fault.engine_id IS NULL", "TRUE")
"""What an entry is of, what a fault is of, and which work names nobody: of an engine, of a unit on none, of neither."""


def usual_phase(
    job: Job,
    *,
    engine: Engine | None = None,
    unit: ControlUnit | None = None,
    wanted: str = "",
    at: datetime | None = None,
) -> str:
    """The phase of a finding about a unit, an engine, or neither (the boat itself), made ``at`` or now.

    It is on arrival until work on this engine or unit is logged on the job; then it is what the job's state says. It is
    left open where the log leaves a doubt: a clear without work, a scan that was said to be later, work that names no
    engine, a job past its work that has none of this engine on record.
    """
    if wanted in dict(Scan.PHASES):
        return wanted
    engine_id = engine.pk if engine else unit.engine_id if unit else None
    of_it, of_fault, work_of_nobody = _OF_THE_BOAT
    if engine_id is not None:
        of_it, of_fault, work_of_nobody = _OF_ENGINE
    elif unit is not None:
        of_it, of_fault, work_of_nobody = _OF_UNIT
    sql = _FOUND.format(of_it=of_it, of_fault=of_fault, work_of_nobody=work_of_nobody)
    asked = {"job": job.pk, "at": at, "engine": engine_id, "unit": unit.pk if unit else None}
    found = figures(sql, {name: value for name, value in asked.items() if f"%({name})s" in sql})
    if found["works"]:
        return _AFTER_WORK.get(job.state, "after-repair")
    return UNKNOWN if found["doubts"] or job.state in _AFTER_WORK else "arrival"


def phase_on_another_unit(job: Job, chosen: str, *, before: ControlUnit | None, now: ControlUnit) -> str:
    """The phase when another unit is chosen in the middle of a form.

    What a person chose stays. What stood there by itself for the unit before is not taken for another, which may have a
    phase of its own: where the two differ the form asks.
    """
    if chosen and (before is None or chosen != usual_phase(job, unit=before)):
        return chosen
    usual = usual_phase(job, unit=now)
    return usual if chosen in {usual, ""} else UNKNOWN


def common_phase(phases: Iterable[str]) -> str:
    """The phase that all of several have; open where they differ."""
    found = set(phases)
    return found.pop() if len(found) == 1 else UNKNOWN
