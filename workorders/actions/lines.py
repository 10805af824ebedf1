"""The lines of a job: what the customer says, what we found, what we did."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.db.models import Max
from django.utils import timezone

from commands.envelope import command
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission, may
from vessels.models import Engine
from web.versions import apply_changes, held
from workorders.actions.change_log import tell_change
from workorders.actions.checking import lock_job, refuse_ended, refuse_strange_engine, version_to_match
from workorders.models import Job, JobLine

NEEDED = {
    "concern": Permission.OPEN_JOBS,
    "engine": Permission.OPEN_JOBS,
    "cause": Permission.WRITE_CORRECTIONS,
    "correction": Permission.WRITE_CORRECTIONS,
    "done_by": Permission.WRITE_CORRECTIONS,
    "done_on": Permission.WRITE_CORRECTIONS,
}
"""What may be changed on a line, and what it needs: the front desk hears the concern, the floor finds and mends."""
EARLIEST = date(1950, 1, 1)


def _to_add_a_line(given: Mapping[str, Any]) -> Permission:
    return Permission.WRITE_CORRECTIONS if may(given["by"], Permission.WRITE_CORRECTIONS) else Permission.OPEN_JOBS


def _to_change_a_line(given: Mapping[str, Any]) -> list[Permission]:
    return [NEEDED[name] for name in given["changes"] if name in NEEDED]


@command("add_line", needs=_to_add_a_line, writes_to="job.vessel")
def add_line(
    *,
    by: Person,
    job: Job,
    concern: str,
    engine: Engine | None = None,
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
) -> JobLine:
    """Add a concern to a job: one more that the customer named, or one that the floor came upon."""
    stored = lock_job(job)
    refuse_ended(stored)
    _refuse_silence(concern)
    last = stored.lines.aggregate(last=Max("position"))["last"] or 0
    line = JobLine.objects.create(job=stored, engine=engine, position=last + 1, concern=concern.strip(), changed_by=by)
    changed: dict[str, tuple[Any, Any]] = {"concern": ("", line.concern)}
    if engine is not None:
        changed["engine"] = ("", engine)
    tell_change(
        by=by,
        job=job,
        record=line,
        subject=f"line {line.position}",
        changed=changed,
        line=line,
        engine=engine,
        entry_id=entry_id,
        happened_at=happened_at,
    )
    return line


@command("change_line", needs=_to_change_a_line, writes_to="line.job.vessel")
def change_line(
    *,
    by: Person,
    line: JobLine,
    seen_version: int,
    changes: Mapping[str, Any],
    seen: Mapping[str, Any] | None = None,
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
) -> JobLine:
    """Change concern, engine, cause or correction of a line, or who made the correction and when.

    The log keeps what stood there before. ``done_by`` is a list of people.

    ``seen`` holds what stood in the fields of ``changes`` when the person opened the form. With it, somebody else's
    change of other fields does not stand in the way.

    Raises:
        Conflict: somebody else saved in the meantime.
        Refused: somebody made a correction that nobody wrote, or on a day to come.
        ValueError: a field is not one of a line's.
    """
    if strange := set(changes) - set(NEEDED):
        raise ValueError(f"not a field of a job line: {', '.join(sorted(strange))}")
    job = line.job
    refuse_ended(lock_job(job))
    wanted: dict[str, Any] = {
        name: value.strip() if isinstance(value, str) else value for name, value in changes.items()
    }
    if "concern" in wanted:
        _refuse_silence(wanted["concern"])
    refuse_strange_engine(wanted.get("engine"), job.vessel)
    if "done_by" in wanted:
        wanted["done_by"] = sorted(set(wanted["done_by"]), key=lambda person: person.pk)
    _refuse_unsound_doing(line, wanted)
    version = version_to_match(line, seen_version, wanted, seen)
    changed = apply_changes(line, seen_version=version, changes=wanted, by=by)
    tell_change(
        by=by,
        job=job,
        record=line,
        subject=f"line {line.position}",
        changed=changed,
        line=line,
        engine=line.engine,
        entry_id=entry_id,
        happened_at=happened_at,
    )
    return line


def _refuse_unsound_doing(line: JobLine, wanted: Mapping[str, Any]) -> None:
    """Who made a correction, and when, can be said of one that is written, and of a day that has been."""
    stored = JobLine.objects.get(pk=line.pk)
    doing = {name: wanted.get(name, held(stored, name)) for name in ("done_by", "done_on")}
    if any(doing.values()) and not wanted.get("correction", stored.correction):
        sentence = "Write what was done as well, or leave out who did it and when."
        raise Refused(sentence, fields={"correction": sentence})
    day = doing["done_on"]
    if day is not None and day > timezone.localdate():
        raise Refused("This day has not come yet.", fields={"done_on": "Today, or a day before."})
    if day is not None and day < EARLIEST:
        raise Refused("This is too long ago.", fields={"done_on": "Check the year."})


def _refuse_silence(concern: str) -> None:
    if not concern.strip():
        sentence = "Enter the concern: what the customer says, or what you found."
        raise Refused(sentence, fields={"concern": sentence})
