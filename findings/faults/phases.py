"""When in its job a finding would be made: one rule for scans, pasted texts, readings, CAN logs and the Bench."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from django.db.models import Q

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
    works = entries.filter(kind="work-done")
    engine_id = engine.pk if engine else unit.engine_id if unit else None
    if engine_id is not None:
        of_it, of_fault = Q(engine=engine_id), Q(fault__engine=engine_id)
    elif unit is not None:
        details = [model.objects.filter(unit=unit).values("entry") for model in (Clear, Scan)]
        of_it, of_fault = Q(pk__in=details[0]) | Q(pk__in=details[1]), Q(fault__unit=unit)
    else:
        of_it, of_fault = Q(engine=None), Q(fault__engine=None)
    if works.filter(of_it).exists() or WorkOnFault.objects.filter(of_fault, work__entry__in=works).exists():
        return _AFTER_WORK.get(job.state, "after-repair")
    doubtful = works if engine_id is None else works.filter(engine=None)
    said_to_be_later = Scan.objects.exclude(phase="arrival").values("entry")
    is_in_doubt = (
        job.state in _AFTER_WORK
        or doubtful.exists()
        or entries.filter(of_it, kind="clear").exists()
        or entries.filter(of_it, pk__in=said_to_be_later).exists()
    )
    return UNKNOWN if is_in_doubt else "arrival"


def common_phase(phases: Iterable[str]) -> str:
    """The phase that all of several have; open where they differ."""
    found = set(phases)
    return found.pop() if len(found) == 1 else UNKNOWN
