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

WAITING = (JobState.WAITING_PARTS, JobState.WAITING_CUSTOMER, JobState.WAITING_WEATHER)

# Each row in the order in which the moves are offered: what usually comes next is first.
MOVES: dict[JobState, tuple[JobState, ...]] = {
    JobState.ESTIMATE: (JobState.AUTHORIZED, JobState.WAITING_CUSTOMER, JobState.CANCELED),
    JobState.AUTHORIZED: (JobState.IN_WORK, *WAITING, JobState.ESTIMATE, JobState.CANCELED),
    JobState.IN_WORK: (JobState.READY, JobState.SEA_TRIAL, *WAITING, JobState.ESTIMATE, JobState.CANCELED),
    JobState.WAITING_PARTS: (
        JobState.IN_WORK,
        JobState.WAITING_CUSTOMER,
        JobState.WAITING_WEATHER,
        JobState.CANCELED,
    ),
    JobState.WAITING_CUSTOMER: (
        JobState.AUTHORIZED,
        JobState.IN_WORK,
        JobState.SEA_TRIAL,
        JobState.WAITING_PARTS,
        JobState.WAITING_WEATHER,
        JobState.ESTIMATE,
        JobState.CANCELED,
    ),
    JobState.WAITING_WEATHER: (
        JobState.IN_WORK,
        JobState.SEA_TRIAL,
        JobState.WAITING_PARTS,
        JobState.WAITING_CUSTOMER,
        JobState.CANCELED,
    ),
    JobState.SEA_TRIAL: (JobState.READY, JobState.IN_WORK, *WAITING),
    JobState.READY: (JobState.CLOSED, JobState.IN_WORK, JobState.SEA_TRIAL),
    JobState.CLOSED: (JobState.IN_WORK,),
    JobState.CANCELED: (JobState.ESTIMATE,),
}

OPEN = frozenset(JobState) - {JobState.CLOSED, JobState.CANCELED}
NEEDS_REASON = frozenset({JobState.CANCELED, *WAITING})
FINISHING = frozenset({JobState.READY, JobState.CLOSED})
"""The moves that say the work is done: a line without a correction has to be explained."""


def may_move(start: JobState, end: JobState) -> bool:
    """Whether a job may go from one state to the other in one move."""
    return end in MOVES[start]


def needs_reason(start: JobState, end: JobState) -> bool:
    """Whether the move wants a word of why: waiting, canceling, and opening what was ended."""
    return end in NEEDS_REASON or start not in OPEN


_TO_DO: dict[JobState, str] = {
    JobState.ESTIMATE: "Back to estimate",
    JobState.AUTHORIZED: "Authorize",
    JobState.IN_WORK: "Start work",
    JobState.WAITING_PARTS: "Wait for parts",
    JobState.WAITING_CUSTOMER: "Wait for the customer",
    JobState.WAITING_WEATHER: "Wait for weather",
    JobState.SEA_TRIAL: "Go to sea trial",
    JobState.READY: "Mark ready",
    JobState.CLOSED: "Close the job",
    JobState.CANCELED: "Cancel the job",
}


def move_words(start: JobState, end: JobState) -> str:
    """What the button of a move says it does."""
    if start not in OPEN:
        return "Open it again"
    if end is JobState.IN_WORK and start in {JobState.READY, JobState.SEA_TRIAL}:
        return "Back to work"
    if end is JobState.IN_WORK and start in WAITING:
        return "Go on with the work"
    return _TO_DO[end]
