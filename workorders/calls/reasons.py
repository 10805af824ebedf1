"""What of this floor is to be called about: parts late or here, jobs ready or waiting, promised days that moved."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import NamedTuple

from django.utils import timezone

from vessels.wording import date_words, day_words, label_of
from web.rows import rows
from web.sentences import within
from workorders.calls.asking import CHARGED, OF_JOBS, Ask, Scope, Source, register
from workorders.models import Job
from workorders.queries.jobs import OPEN_IN_SQL
from workorders.states import JobState
from workorders.waiting import past_day, waits_as_in

MOVED_SINCE = timedelta(days=14)


def register_reasons() -> None:
    """Make them known."""
    register(Source("states", _by_state, 30))
    register(Source("promise moved", _moved, 70))


_BY_STATE = f"""
    SELECT one.id AS pk, one.state, one.state_since, one.is_late,
           CASE WHEN one.state = '{JobState.WAITING_CUSTOMER}' THEN (
               SELECT move.reason FROM vessels_logentry entry JOIN workorders_jobmove move ON move.entry_id = entry.id
               WHERE entry.job_id = one.id AND move.to_state = '{JobState.WAITING_CUSTOMER}'
               ORDER BY entry.position DESC LIMIT 1) END AS reason
    FROM (
        SELECT *, row_number() OVER (PARTITION BY state ORDER BY state_since, id) AS place
        FROM (SELECT id, state, state_since, {{late}} AS is_late FROM workorders_job job
              WHERE state IN ({OPEN_IN_SQL}) AND {OF_JOBS.format("id")}) open
        WHERE is_late OR state IN ('{JobState.WAITING_CUSTOMER}', '{JobState.WAITING_PARTS}', '{JobState.READY}')
    ) one
    WHERE one.place <= %(most)s ORDER BY one.state_since, one.id
"""  # noqa: S608  (put together from what the program says)


class _InState(NamedTuple):
    pk: int
    state: str
    state_since: datetime
    is_late: bool
    reason: str | None


def _by_state(scope: Scope) -> list[Ask]:
    """Jobs that wait for the customer or for parts, those that are ready and those with a late part.

    Those that are longest in their state come first.
    """
    asked = {**scope.asked, "today": timezone.localdate()}
    found = rows(_InState, _BY_STATE.format(late=past_day(JobState.WAITING_PARTS)), asked)
    states = [JobState.WAITING_CUSTOMER, JobState.WAITING_PARTS, JobState.READY]
    jobs = {state: scope.first([job for job in found if job.state == state.value], state.value) for state in states}
    waiting, past = jobs[JobState.WAITING_PARTS], scope.first([job for job in found if job.is_late], "parts late")
    waits = waits_as_in(JobState.WAITING_PARTS, list({job.pk: job for job in [*waiting, *past]}.values()))
    return [
        *(Ask(job.pk, "waiting", _why(job.reason or "", job)) for job in jobs[JobState.WAITING_CUSTOMER]),
        *(Ask(job.pk, "parts-late", f"A part is late: {waits[job.pk].words}.") for job in past if job.pk in waits),
        *(
            Ask(job.pk, "parts-here", f"{waits[job.pk].words}.")
            for job in waiting
            if job.pk in waits and waits[job.pk].is_over
        ),
        *(
            Ask(job.pk, "ready", f"Ready for pickup since {day_words(job.state_since)}.", sum_is=CHARGED)
            for job in jobs[JobState.READY]
        ),
    ]


def _why(reason: str, job: _InState) -> str:
    said = within(reason)
    return f"The job waits for the customer since {day_words(job.state_since)}{f': “{said}”' if said else ''}."


_MOVED = f"""
    SELECT entry.job_id AS job, change.changes -> %(label)s::text ->> 0 AS before,
           change.changes -> %(label)s::text ->> 1 AS after, entry.recorded_at AS at
    FROM workorders_jobchange change JOIN vessels_logentry entry ON entry.id = change.entry_id
    JOIN workorders_job job ON job.id = entry.job_id
    WHERE change.changes ? %(label)s::text AND entry.recorded_at >= %(since)s::timestamptz
      AND job.state IN ({OPEN_IN_SQL}) AND {OF_JOBS.format("job.id")}
    ORDER BY entry.recorded_at, entry.position LIMIT %(most)s
"""  # noqa: S608


class _Changed(NamedTuple):
    job: int
    before: str | None
    after: str | None
    at: datetime


def _moved(scope: Scope) -> list[Ask]:
    """Promised days that moved to a later one in the last two weeks, the last move of each job."""
    asked = {**scope.asked, "label": label_of(Job(), "promised_on"), "since": timezone.now() - MOVED_SINCE}
    told: dict[int, Ask] = {}
    for one in scope.first(rows(_Changed, _MOVED, asked), "moved"):
        before, after = _day(one.before), _day(one.after)
        told.pop(one.job, None)
        if before is not None and (after is None or after > before):
            now = f"to {date_words(after)}" if after is not None else "and none stands now"
            words = f"The promised day was moved from {date_words(before)} {now}, on {day_words(one.at)}."
            told[one.job] = Ask(one.job, f"moved-{one.at:%Y%m%d%H%M%S}", words)
    return list(told.values())


def _day(text: str | None) -> date | None:
    try:
        return date.fromisoformat(text or "")
    except ValueError:
        return None
