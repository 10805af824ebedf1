"""Calculated results that are no reading of one parameter: a wire size, whether something comes more often."""

from __future__ import annotations

import uuid
from datetime import datetime
from decimal import Decimal

from django.db.models import QuerySet

from staff.models import Person
from vessels.hours import refuse_impossible_hours
from vessels.log.chain import NewEntry, append
from vessels.log.evidence import effective, superseded
from vessels.models import Engine, LogEntry
from workorders.models import Job

RESULT = "result"
"""The kind of log entry. Its words are the entry's text, the tool's name its summary."""


def log_words(
    *,
    by: Person,
    job: Job,
    engine: Engine | None,
    title: str,
    text: str,
    engine_hours: Decimal | None = None,
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
) -> LogEntry:
    """Log a result in words on a job, under the name of what it is of: a part of the act that worked it out.

    Raises:
        Refused: the hours are impossible, or it is dated in the future.
    """
    refuse_impossible_hours(engine, engine_hours, happened_at)
    return append(
        NewEntry(
            kind=RESULT,
            vessel=job.vessel,
            author=by,
            engine=engine,
            job_id=job.pk,
            engine_hours=engine_hours,
            summary=f"{title}, {engine}" if engine else title,
            text=text,
            id=entry_id,
            happened_at=happened_at,
        )
    )


def results_of_job(job: Job) -> QuerySet[LogEntry]:
    """The results in words that stand on a job, oldest first."""
    return effective(_results(job))


def results_shown_on_job(job: Job) -> QuerySet[LogEntry]:
    """The same with those that were voided, which ``is_superseded`` marks."""
    return _results(job).annotate(is_superseded=superseded("pk"))


def _results(job: Job) -> QuerySet[LogEntry]:
    found = LogEntry.objects.filter(job=job, kind=RESULT).select_related("engine", "author")
    return found.order_by("happened_at", "position")
