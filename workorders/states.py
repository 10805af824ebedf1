"""The states of a job and the moves between them: one pure table."""

from __future__ import annotations

from enum import StrEnum


class JobState(StrEnum):
    """Where a job stands."""

    ESTIMATE = "estimate"
    AUTHORIZED = "authorized"
    IN_WORK = "in-work"
    WAITING_PARTS = "waiting-parts"
    WAITING_CUSTOMER = "waiting-customer"
    WAITING_WEATHER = "waiting-weather"
    SEA_TRIAL = "sea-trial"
    READY = "ready"
    CLOSED = "closed"
    CANCELED = "canceled"


LABELS: dict[JobState, str] = {
    JobState.ESTIMATE: "Estimate",
    JobState.AUTHORIZED: "Authorized",
    JobState.IN_WORK: "In work",
    JobState.WAITING_PARTS: "Waiting for parts",
    JobState.WAITING_CUSTOMER: "Waiting for customer",
    JobState.WAITING_WEATHER: "Waiting for weather",
    JobState.SEA_TRIAL: "Sea trial",
    JobState.READY: "Ready",
    JobState.CLOSED: "Closed",
    JobState.CANCELED: "Canceled",
}

_WAITING = (JobState.WAITING_PARTS, JobState.WAITING_CUSTOMER, JobState.WAITING_WEATHER)

MOVES: dict[JobState, tuple[JobState, ...]] = {
    JobState.ESTIMATE: (JobState.AUTHORIZED, JobState.WAITING_CUSTOMER, JobState.CANCELED),
    JobState.AUTHORIZED: (JobState.IN_WORK, *_WAITING, JobState.ESTIMATE, JobState.CANCELED),
    JobState.IN_WORK: (JobState.SEA_TRIAL, JobState.READY, *_WAITING, JobState.ESTIMATE, JobState.CANCELED),
    JobState.WAITING_PARTS: (JobState.IN_WORK, JobState.WAITING_CUSTOMER, JobState.CANCELED),
    JobState.WAITING_CUSTOMER: (JobState.AUTHORIZED, JobState.IN_WORK, JobState.ESTIMATE, JobState.CANCELED),
    JobState.WAITING_WEATHER: (JobState.IN_WORK, JobState.SEA_TRIAL, JobState.CANCELED),
    JobState.SEA_TRIAL: (JobState.READY, JobState.IN_WORK, JobState.WAITING_PARTS, JobState.WAITING_WEATHER),
    JobState.READY: (JobState.CLOSED, JobState.IN_WORK, JobState.SEA_TRIAL),
    JobState.CLOSED: (JobState.IN_WORK,),
    JobState.CANCELED: (JobState.ESTIMATE,),
}

OPEN = frozenset(JobState) - {JobState.CLOSED, JobState.CANCELED}
NEEDS_REASON = frozenset({JobState.CANCELED}) | frozenset(_WAITING)


def may_move(start: JobState, end: JobState) -> bool:
    """Whether a job may go from one state to the other in one move."""
    return end in MOVES[start]


def needs_reason(start: JobState, end: JobState) -> bool:
    """Whether the move wants a word of why: waiting, canceling, and opening what was closed."""
    return end in NEEDS_REASON or start in {JobState.CLOSED, JobState.CANCELED}
