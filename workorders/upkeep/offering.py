"""Service due is offered with ticks when a boat comes in; a ticked one becomes a line that names the plan."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from uuid import UUID

from commands.refusals import Refused
from staff.models import Person
from vessels.models import Engine, Vessel
from workorders.models import JobLine
from workorders.offered import Offered
from workorders.upkeep.actions.taking import plan_line
from workorders.upkeep.models import Adoption
from workorders.upkeep.queries.due import Due, due_of
from workorders.upkeep.wording import head_words, reasons

STRANGE = Refused("This is of another boat.")


def concern_of(due: Due) -> str:
    """What the line says."""
    return f"Service due: {due.followed.plan}"


def offers(vessel: Vessel, engines: Sequence[Engine]) -> list[Offered]:
    """The services of a boat that are overdue, due or due soon. An engine of no family follows no plan."""
    if all(engine.family_id is None for engine in engines):
        return []
    return [_offered(due) for due in due_of(vessel.pk) if due.is_asked_for]


def _offered(due: Due) -> Offered:
    one = due.followed
    on_job = f" It is on job {one.open_job} already." if one.open_job is not None else ""
    return Offered(
        key=f"service-{one.pk}",
        words=f"{one.plan}, {one.engine}: {head_words(due).lower()}",
        concern=concern_of(due),
        taken=partial(_take, one.pk),
        engine_id=one.engine_id,
        hint=" ".join(reasons(due)) + on_job,
    )


def _take(adoption: int, by: Person, line: JobLine, entry_id: UUID | None) -> object:
    chosen = Adoption.objects.select_related("engine", "plan").get(pk=adoption)
    return plan_line(by=by, line=line, adoption=chosen, entry_id=entry_id)
