"""What happened on a job besides its moves, told by rooms that know, for the history on its overview."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse

from staff.models import Person
from web.registry import Registry
from workorders.models import Job, JobMove
from workorders.queries.jobs import moves_of
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
    """A room that tells steps of a job to a person, in a fixed number of queries."""

    name: str
    steps: Callable[[Person, Job], Sequence[Step]]
    position: int


_sources: Registry[Source] = Registry(lambda source: source.name)
register = _sources.register


def history_of(person: Person, job: Job) -> list[Step]:
    """How a job came to where it stands, and what was said and stopped on the way, in order of time."""
    steps = [_of_move(move) for move in moves_of(job)]
    for source in _sources.in_order():
        steps += source.steps(person, job)
    return sorted(steps, key=lambda step: step.at)


def _of_move(move: JobMove) -> Step:
    label = _words(move.to_state) if move.from_state else "Opened"
    before = _words(move.from_state).lower() if move.from_state else ""
    url = reverse("vessels:entry", args=[move.entry_id])
    return Step(move.entry.happened_at, label, str(move.entry.author), before, "", move.reason, url, "in the log")


def _words(state: str) -> str:
    """A state as people say it; one that is no longer known as it was written."""
    return LABELS[JobState(state)] if state in LABELS else state
