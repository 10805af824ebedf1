"""What is offered on the page that opens a job, by rooms that know something of the boat: each has a tick.

What is ticked becomes a line of the job, and the room that offered it learns which.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from uuid import UUID

from staff.models import Person
from vessels.models import Engine, Vessel
from web.registry import Registry
from workorders.models import JobLine


@dataclass(frozen=True)
class Offered:
    """One thing that the boat could have done now. ``concern`` is what its line says, the same at every sending.

    ``taken`` is called with who opened the job, the new line, and the id of the act.
    """

    key: str
    words: str
    concern: str
    taken: Callable[[Person, JobLine, UUID | None], object]
    engine_id: int | None = None
    hint: str = ""


@dataclass(frozen=True)
class Source:
    """A room that offers: its name, where it stands among others, and what it offers for a boat."""

    name: str
    offers: Callable[[Vessel, Sequence[Engine]], list[Offered]]
    position: int


_sources: Registry[Source] = Registry(lambda source: source.name)
register = _sources.register


def offered_for(vessel: Vessel, engines: Sequence[Engine]) -> list[Offered]:
    """What every room offers for a boat with these engines in it, in order."""
    return [offered for source in _sources.in_order() for offered in source.offers(vessel, engines)]
