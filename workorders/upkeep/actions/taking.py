"""A line of a job is for a service due."""

from __future__ import annotations

import uuid

from commands.envelope import command
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from workorders.models import JobLine
from workorders.upkeep.models import Adoption, PlannedLine


@command("plan_line", needs=Permission.OPEN_JOBS, writes_to="line.job.vessel")
def plan_line(*, by: Person, line: JobLine, adoption: Adoption, entry_id: uuid.UUID | None = None) -> PlannedLine:
    """Note that a line of a job was opened for a service due, so that the service can be logged from it in one touch.

    Raises:
        Refused: the plan is followed by an engine of another boat, or the line is for another service already.
    """
    if adoption.engine.vessel_id != line.job.vessel_id:
        raise Refused("This service is of another boat.")
    known, made = PlannedLine.objects.get_or_create(line=line, defaults={"adoption": adoption})
    if not made and known.adoption_id != adoption.pk:
        raise Refused(f"Line {line.position} is for “{known.adoption.plan}” already.")
    return known
