"""What a job may be opened from: rooms carry over what they know, and learn which job was opened."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from uuid import UUID

from staff.models import Person
from workorders.models import Job

MOST_KEY = 40


@dataclass(frozen=True)
class Carried:
    """What stands in the form from the start. ``opened`` is called in the same transaction, with who opened the job.

    ``choice`` is as the form carries it: “boat:7”, or “new” for a boat that is not on record.
    """

    key: str
    words: str
    choice: str
    opened: Callable[[Person, Job, UUID | None], object]
    concern: str = ""
    customer_name: str = ""
    phone: str = ""
    technician_id: int | None = None


Source = Callable[[str], Carried | None]
_sources: dict[str, Source] = {}


def register(name: str, source: Source) -> None:
    """Say what a job may be opened from; called from an app's ``ready``. The source gives None for what it is not."""
    _sources[name] = source


def carried_from(key: str) -> Carried | None:
    """What “name:key” carries over; None where nothing does."""
    name, _, rest = key[:MOST_KEY].partition(":")
    source = _sources.get(name)
    return source(rest) if source is not None and rest else None
