"""Changing what was written down when the boat came in."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from commands.envelope import command
from staff.models import Person
from staff.policy import Permission
from web.versions import apply_changes
from workorders.actions.change_log import tell_change
from workorders.actions.checking import (
    lock_job,
    refuse_ended,
    refuse_far_promise,
    refuse_strange_technician,
    refuse_unsound,
    version_to_match,
)
from workorders.models import Job

INTAKE = ("technician", "promised_on", "location", "spot", "keys", "contents", "condition")


@command("change_intake", needs=Permission.OPEN_JOBS, writes_to="job.vessel")
def change_intake(
    *,
    by: Person,
    job: Job,
    seen_version: int,
    changes: Mapping[str, Any],
    seen: Mapping[str, Any] | None = None,
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
) -> Job:
    """Change a job's intake; the log keeps what stood there before.

    ``seen`` holds what stood in the fields of ``changes`` when the person opened the form. With it, somebody else's
    change of other fields does not stand in the way.

    Raises:
        Conflict: somebody else saved in the meantime.
        ValueError: a field is not part of the intake.
    """
    if strange := set(changes) - set(INTAKE):
        raise ValueError(f"not part of a job's intake: {', '.join(sorted(strange))}")
    refuse_ended(lock_job(job))
    wanted: dict[str, Any] = {
        name: value.strip() if isinstance(value, str) else value for name, value in changes.items()
    }
    if "technician" in wanted:
        refuse_strange_technician(wanted["technician"])
    refuse_far_promise(wanted.get("promised_on"))
    refuse_unsound(Job(**{name: value for name, value in wanted.items() if name != "technician"}), wanted)
    version = version_to_match(job, seen_version, wanted, seen)
    changed = apply_changes(job, seen_version=version, changes=wanted, by=by)
    tell_change(
        by=by,
        job=job,
        record=job,
        subject="intake",
        changed=changed,
        entry_id=entry_id,
        happened_at=happened_at,
    )
    return job
