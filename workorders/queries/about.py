"""Which engine a job is about, where nobody said: only what leaves no choice is taken."""

from __future__ import annotations

from collections.abc import Sequence

from vessels.models import Engine
from workorders.models import Job


def engine_of(job: Job, engines: Sequence[Engine]) -> Engine | None:
    """The only engine of the boat, or the only one that lines of the job name; else none, and the page asks."""
    if len(engines) == 1:
        return engines[0]
    named = set(job.lines.exclude(engine=None).values_list("engine_id", flat=True))
    found = [one for one in engines if one.pk in named]
    return found[0] if len(found) == 1 and len(named) == 1 else None
