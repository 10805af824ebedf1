"""What jobs wait for, told by the room that knows it: on the board, on Today, and instead of a word of why."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from workorders.models import Job
from workorders.states import JobState


class Waiting(Protocol):
    """A job, or what a page read of it: its key and its state."""

    @property
    def pk(self) -> int:
        """The job's key."""

    @property
    def state(self) -> str:
        """One of ``JobState``."""


@dataclass(frozen=True)
class Wait:
    """What one job waits for, in words; whether its day has passed, and whether all of it is here."""

    words: str
    is_late: bool = False
    is_over: bool = False


@dataclass(frozen=True)
class Told:
    """Who tells of a state: for jobs that are in it, by their keys, and for one that is about to go into it.

    ``past`` says in SQL of a ``job``, in whatever state, that something is past the day that it was expected, with the
    day of today as ``%(today)s``.
    """

    waits: Callable[[Sequence[Waiting]], Mapping[int, Wait]]
    explains: Callable[[Job], str]
    past: str


_told: dict[JobState, Told] = {}


def register(state: JobState, told: Told) -> None:
    """Say who tells what jobs in this state wait for; called from an app's ``ready``."""
    _told[state] = told


def waits_of(jobs: Sequence[Waiting]) -> dict[int, Wait]:
    """What those of the jobs that wait are waiting for, by their keys, as far as it is known."""
    found: dict[int, Wait] = {}
    for state, told in _told.items():
        waiting = [job for job in jobs if job.state == state.value]
        if waiting:
            found |= told.waits(waiting)
    return found


def past_day(state: JobState) -> str:
    """That something which jobs in this state wait for is past its day, of a ``job`` in whatever state, in SQL.

    True of none where nobody tells.
    """
    told = _told.get(state)
    return told.past if told else "FALSE"


def waits_as_in(state: JobState, jobs: Sequence[Waiting]) -> Mapping[int, Wait]:
    """What jobs wait for of what is told of this state, whatever their own, by their keys."""
    told = _told.get(state)
    return told.waits(jobs) if told and jobs else {}


def explained(job: Job, state: JobState) -> str:
    """What a job would wait for in this state, where that is on record; else nothing, and somebody has to say it."""
    told = _told.get(state)
    return told.explains(job) if told else ""
