"""What a technician does next on a job: one pure rule over what is on record."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from workorders.states import JobState
from workorders.waiting import Wait


@dataclass(frozen=True)
class OnRecord:
    """What is known of a job when the next step is looked for."""

    state: JobState
    has_unit: bool = False
    has_arrival_scan: bool = False
    has_sea_trial_scan: bool = False
    has_open_fault: bool = False
    lacks_cause: bool = False
    lacks_correction: bool = False
    last_scan_at: datetime | None = None
    last_clear_at: datetime | None = None
    has_report: bool = False
    reason: str = ""
    wait: Wait | None = None


@dataclass(frozen=True)
class Step:
    """The next thing to do, and the page where it is done; ``is_ours`` is false where somebody else has to act."""

    words: str
    url_name: str
    is_ours: bool = True
    moves_to: JobState | None = None
    """Where the step is a move of the job, and nothing else: one touch does it."""


JOB, LINES, REPORT = "workorders:job", "workorders:lines", "reports:job"
SCAN, CLEAR = "findings:scan", "findings:clear"

_WAITING = {
    JobState.WAITING_PARTS: "Waits for parts",
    JobState.WAITING_CUSTOMER: "Waits for the customer",
    JobState.WAITING_WEATHER: "Waits for weather",
}


def next_step(job: OnRecord) -> Step:
    """The next step, in the order in which a repair is proven: read, find, mend, clear, read again, try under way."""
    if job.wait is not None and job.wait.is_over:
        return Step(f"{job.wait.words}: go on with the work", JOB, moves_to=JobState.IN_WORK)
    if job.state in _WAITING:
        if job.wait is not None:
            return Step(f"{_WAITING[job.state]}: {job.wait.words}", JOB, is_ours=False)
        return Step(_WAITING[job.state] + (f": {job.reason}" if job.reason else ""), JOB, is_ours=False)
    if job.has_unit and not job.has_arrival_scan and job.state != JobState.READY:
        return Step("Log the arrival scan, before anything is cleared", SCAN)
    return _STEPS[job.state](job)


def _on_estimate(job: OnRecord) -> Step:
    if job.lacks_cause:
        return Step("Enter the cause, so that it can be authorized", LINES)
    return Step("Waits for authorization", JOB, is_ours=False)


def _in_work(job: OnRecord) -> Step:
    if job.lacks_cause or job.lacks_correction:
        return Step("Enter the cause" if job.lacks_cause else "Enter the correction", LINES)
    if job.last_clear_at is None:
        return Step("Clear the codes", CLEAR) if job.has_open_fault else _READY_FOR_TRIAL
    if job.last_scan_at is None or job.last_scan_at <= job.last_clear_at:
        return Step("Scan again, to prove the repair", SCAN)
    return _READY_FOR_TRIAL


def _on_sea_trial(job: OnRecord) -> Step:
    if job.has_unit and not job.has_sea_trial_scan:
        return Step("Log the sea trial scan", SCAN)
    return Step("Mark it as ready", JOB)


def _when_ready(job: OnRecord) -> Step:
    return _NOTHING_MORE if job.has_report else Step("Write the condition report", REPORT)


_READY_FOR_TRIAL = Step("Take it to sea trial, or mark it as ready", JOB)
_NOTHING_MORE = Step("The front desk hands it over", JOB, is_ours=False)
_STEPS: dict[JobState, Callable[[OnRecord], Step]] = {
    JobState.ESTIMATE: _on_estimate,
    JobState.AUTHORIZED: lambda _: Step("Start work", JOB, moves_to=JobState.IN_WORK),
    JobState.IN_WORK: _in_work,
    JobState.SEA_TRIAL: _on_sea_trial,
    JobState.READY: _when_ready,
    JobState.CLOSED: lambda _: _NOTHING_MORE,
    JobState.CANCELED: lambda _: _NOTHING_MORE,
}
