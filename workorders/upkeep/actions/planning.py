"""Service plans of the shop: written down, changed, ended. Each change is a version of its own."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from typing import Annotated, Any

from django.utils import timezone

from commands.envelope import command, tell
from commands.json_forms import Key
from commands.questions import ask_once
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from vessels.models import EngineFamily
from web.versions import apply_changes
from workorders.actions.checking import refuse_unsound
from workorders.upkeep.models import MOST_HOURS, MOST_MONTHS, PlanVersion, ServicePlan

WORDS = ("name", "tasks", "manual")
FIGURES = ("every_hours", "every_months", "first_hours", "first_months")
VERSIONED = (*WORDS, *FIGURES)
CHANGEABLE = (*VERSIONED, "kit")
KitKey = Annotated[int, Key("estimates.kit")]
"""Kits are of a floor above: plans know them by their keys."""
SELDOM_LESS = Decimal(10)
"""Fewer hours between two services are asked about once. Common practice, no source."""
NO_INTERVAL = "Enter hours, months, or both. Whichever comes first counts."


@command("add_plan", needs=Permission.EDIT_SERVICE_PLANS)
def add_plan(
    *,
    by: Person,
    family: EngineFamily,
    name: str,
    every_hours: Decimal | None = None,
    every_months: int | None = None,
    first_hours: Decimal | None = None,
    first_months: int | None = None,
    tasks: str = "",
    manual: str = "",
    kit_id: KitKey | None = None,
    entry_id: uuid.UUID | None = None,
) -> ServicePlan:
    """Write down a service that engines of a family get again and again.

    Raises:
        Refused: it has no name or no interval, an interval cannot be, or the family has a plan of that name.
    """
    plan = ServicePlan(
        family=family,
        name=" ".join(name.split()),
        every_hours=every_hours,
        every_months=every_months,
        first_hours=first_hours,
        first_months=first_months,
        tasks=tasks.strip(),
        manual=manual.strip(),
        kit_id=kit_id,
        added_by=by,
        changed_by=by,
    )
    _refuse_unsound_plan(plan)
    plan.save()
    _keep(plan, by)
    return plan


@command("change_plan", needs=Permission.EDIT_SERVICE_PLANS)
def change_plan(
    *,
    by: Person,
    plan: ServicePlan,
    seen_version: int,
    changes: Mapping[str, Any],
    entry_id: uuid.UUID | None = None,
) -> ServicePlan:
    """Change a plan. What was done and said before keeps the plan as it was then.

    Raises:
        Conflict: somebody else saved in the meantime.
        Refused: it has ended, or as for a new one.
        ValueError: a field is not to be changed here.
    """
    if strange := set(changes) - set(CHANGEABLE):
        raise ValueError(f"not to be changed here: {', '.join(sorted(strange))}")
    stored = ServicePlan.objects.select_for_update(of=("self",)).get(pk=plan.pk)
    if stored.ended_at is not None:
        raise Refused("This plan has ended. Add a new one.")
    wanted = {name: value.strip() if isinstance(value, str) else value for name, value in changes.items()}
    if "name" in wanted:
        wanted["name"] = " ".join(wanted["name"].split())
    for name, value in wanted.items():
        setattr(stored, name, value)
    _refuse_unsound_plan(stored)
    changed = apply_changes(plan, seen_version=seen_version, changes=wanted, by=by)
    if changed.keys() & set(VERSIONED):
        _keep(plan, by)
    return plan


@command("end_plan", needs=Permission.EDIT_SERVICE_PLANS)
def end_plan(*, by: Person, plan: ServicePlan, entry_id: uuid.UUID | None = None) -> ServicePlan:
    """End a plan: nothing is due by it any more, and what was done stays. Who ends it second changes nothing."""
    stored = ServicePlan.objects.select_for_update(of=("self",)).get(pk=plan.pk)
    if stored.ended_at is None:
        stored.ended_at, stored.ended_by, stored.changed_by = timezone.now(), by, by
        stored.version += 1
        stored.save(update_fields=["ended_at", "ended_by", "changed_by", "version"])
        _keep(stored, by)
        tell(ended_at=[None, stored.ended_at.isoformat()])
    plan.refresh_from_db()
    return plan


def version_at(plan: ServicePlan, when: datetime) -> PlanVersion:
    """The plan as it stood at a moment; before it was written down, as it was first."""
    versions = list(plan.versions.order_by("number"))
    return next((one for one in reversed(versions) if one.since <= when), versions[0])


def _keep(plan: ServicePlan, by: Person) -> None:
    now = {name: getattr(plan, name) for name in VERSIONED}
    PlanVersion.objects.create(plan=plan, number=plan.version, by=by, **now)


def _refuse_unsound_plan(plan: ServicePlan) -> None:
    if not plan.name:
        raise Refused("Give the service a name.", fields={"name": "Give the service a name, such as “Oil and filter”."})
    if plan.every_hours is None and plan.every_months is None:
        raise Refused(NO_INTERVAL, fields={"every_hours": NO_INTERVAL})
    _refuse_absurd(plan)
    refuse_unsound(plan, CHANGEABLE)
    twins = ServicePlan.objects.filter(family=plan.family, name__iexact=plan.name, ended_at=None).exclude(pk=plan.pk)
    if twins.exists():
        sentence = f"{plan.family} has a plan of this name already. Change that one, or choose another name."
        raise Refused(sentence, fields={"name": sentence})
    if plan.every_hours is not None and plan.every_hours < SELDOM_LESS:
        sentence = f"Every {plan.every_hours.normalize():f} h is seldom. Check the figure."
        ask_once(f"every {plan.every_hours}", sentence, field="every_hours", tick=sentence.split(" is ")[0])


def _refuse_absurd(plan: ServicePlan) -> None:
    for name in ("every_hours", "first_hours"):
        hours = getattr(plan, name)
        if hours is not None and not (hours.is_finite() and 1 <= hours <= MOST_HOURS):
            sentence = f"From 1 to {MOST_HOURS:,} hours. Check the figure."
            raise Refused(sentence, fields={name: sentence})
    for name in ("every_months", "first_months"):
        months = getattr(plan, name)
        if months is not None and not 1 <= months <= MOST_MONTHS:
            sentence = f"From 1 to {MOST_MONTHS} months. Check the figure."
            raise Refused(sentence, fields={name: sentence})
