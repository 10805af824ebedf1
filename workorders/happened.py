"""What happened on a job besides its moves, told by rooms that know, for the history on its overview."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple
from uuid import UUID

from staff.models import Person
from web.addresses import address_of
from web.registry import Registry
from web.rows import rows
from workorders.models import Job
from workorders.states import LABELS, JobState


@dataclass(frozen=True)
class Step:
    """One step: when, what, by whom it was noted; ``after`` is what was before, ``written`` in somebody's own words."""

    at: datetime
    title: str
    who: str
    after: str = ""
    told: str = ""
    written: str = ""
    url: str = ""
    url_words: str = ""


@dataclass(frozen=True)
class Source:
    """A room that tells steps of a job to a person, with sums in the shop's currency, in a fixed number of queries."""

    name: str
    steps: Callable[[Person, Job, str], Sequence[Step]]
    position: int


_sources: Registry[Source] = Registry(lambda source: source.name)
register = _sources.register


class _Move(NamedTuple):
    entry: UUID
    from_state: str
    to_state: str
    reason: str
    at: datetime
    author: str


_MOVES = """
    SELECT entry.id AS entry, move.from_state, move.to_state, move.reason, entry.happened_at AS at,
           person.name AS author
    FROM workorders_jobmove move JOIN vessels_logentry entry ON entry.id = move.entry_id
    JOIN staff_person person ON person.id = entry.author_id
    WHERE entry.job_id = %(job)s ORDER BY entry.position
"""


def history_of(person: Person, job: Job, currency: str) -> list[Step]:
    """How a job came to where it stands, and what was said and stopped on the way, in order of time."""
    steps = [_of_move(move) for move in rows(_Move, _MOVES, {"job": job.pk})]
    for source in _sources.in_order():
        steps += source.steps(person, job, currency)
    return sorted(steps, key=lambda step: step.at)


def _of_move(move: _Move) -> Step:
    label = _words(move.to_state) if move.from_state else "Opened"
    before = _words(move.from_state).lower() if move.from_state else ""
    url = address_of("vessels:entry", move.entry)
    return Step(move.at, label, move.author, before, "", move.reason, url, "in the log")


def _words(state: str) -> str:
    """A state as people say it; one that is no longer known as it was written."""
    return LABELS[JobState(state)] if state in LABELS else state
