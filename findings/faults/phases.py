"""When in its job a finding would be made: one rule for scans, pasted texts, readings, CAN logs and the Bench."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from django.db.models import Count, Q

from findings.faults.models import Clear, Scan, WorkOnFault
from vessels.log.evidence import effective
from vessels.models import ControlUnit, Engine, LogEntry
from workorders.models import Job

UNKNOWN = ""
"""Nothing is chosen: the form asks."""
_AFTER_WORK = {"sea-trial": "sea-trial", "ready": "delivery", "closed": "delivery"}


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
    entries = effective(LogEntry.objects.filter(job=job))
    if at is not None:
        entries = entries.filter(happened_at__lte=at)
    engine_id = engine.pk if engine else unit.engine_id if unit else None
    if engine_id is not None:
        of_it, of_fault = Q(engine=engine_id), Q(fault__engine=engine_id)
    elif unit is not None:
        details = [model.objects.filter(unit=unit).values("entry") for model in (Clear, Scan)]
        of_it, of_fault = Q(pk__in=details[0]) | Q(pk__in=details[1]), Q(fault__unit=unit)
    else:
        of_it, of_fault = Q(engine=None), Q(fault__engine=None)
    is_work = Q(kind="work-done")
    on_its_faults = Q(pk__in=WorkOnFault.objects.filter(of_fault).values("work"))
    said_to_be_later = Q(pk__in=Scan.objects.exclude(phase="arrival").values("entry"))
    found = entries.aggregate(
        works=Count("pk", filter=is_work & (of_it | on_its_faults)),
        doubts=Count(
            "pk",
            filter=(is_work if engine_id is None else is_work & Q(engine=None))
            | of_it & (Q(kind="clear") | said_to_be_later),
        ),
    )
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
