"""Which control unit a finding is of, where nobody said: only what leaves no choice is taken."""

from __future__ import annotations

from collections.abc import Sequence

from vessels.models import ControlUnit
from workorders.models import Job
from workorders.queries.about import engine_of


def unit_of(job: Job, units: Sequence[ControlUnit], wanted: str) -> ControlUnit | None:
    """The unit asked for; else the only one of the boat, or the only one of the engine that the job is about."""
    asked = next((one for one in units if str(one.pk) == wanted), None)
    if asked is not None or len(units) == 1:
        return asked or units[0]
    engines = list({one.engine_id: one.engine for one in units if one.engine is not None}.values())
    named = set(job.lines.exclude(engine=None).values_list("engine_id", flat=True))
    engine = engine_of(job, engines) if named else None
    found = [one for one in units if engine is not None and one.engine_id == engine.pk]
    return found[0] if len(found) == 1 else None
