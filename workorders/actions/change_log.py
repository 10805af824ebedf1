"""Writing a change on a job into the vessel's log: what stood there before, and what stands there now."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import models

from staff.models import Person
from vessels.log.chain import NewEntry, append
from vessels.models import Engine, LogEntry
from vessels.wording import label_of, value_words
from workorders.models import Job, JobChange, JobLine


def tell_change(
    *,
    by: Person,
    job: Job,
    record: models.Model,
    subject: str,
    changed: Mapping[str, tuple[Any, Any]],
    line: JobLine | None = None,
    engine: Engine | None = None,
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
) -> LogEntry | None:
    """Log what changed on a job or on one of its lines, by the labels that people know; None when nothing did."""
    told = {
        label_of(record, name): [value_words(record, name, before), value_words(record, name, after)]
        for name, (before, after) in changed.items()
    }
    if not told:
        return None
    return append(
        NewEntry(
            kind="job-changed",
            vessel=job.vessel,
            author=by,
            job_id=job.pk,
            engine=engine,
            summary=f"Job {job.number}, {subject}: {', '.join(told).lower()} changed",
            id=entry_id,
            happened_at=happened_at,
        ),
        detail=JobChange(subject=subject, changes=told, line=line),
    )
