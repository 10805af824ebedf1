"""Engines take up service plans, with what was done last: and never as due or done by guess."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from django.utils import timezone

from commands.envelope import command, tell
from commands.refusals import Refused
from engineering.hours import hours_words
from staff.models import Person
from staff.policy import Permission
from vessels.hours import Neighbors, backwards, hours_around
from vessels.models import Engine
from vessels.wording import date_words, day_words
from web.versions import apply_changes
from workorders.actions.checking import refuse_unsound
from workorders.upkeep.models import Adoption, Basis, ServicePlan, Source

EARLIEST = date(1950, 1, 1)
CHANGEABLE = ("basis", "last_on", "last_hours", "source", "remark")


@command("adopt_plans", needs=Permission.EDIT_RECORDS, writes_to="engine.vessel", again=lambda _: [])
def adopt_plans(
    *,
    by: Person,
    engine: Engine,
    plans: Sequence[ServicePlan],
    basis: str = Basis.UNKNOWN,
    last_on: date | None = None,
    last_hours: Decimal | None = None,
    source: str = "",
    remark: str = "",
    entry_id: uuid.UUID | None = None,
) -> list[Adoption]:
    """Have an engine follow plans of its family; the same is said of the last time for all of them.

    ``last_hours`` are true hours over all meters. What an engine follows already stays as it is.

    Raises:
        Refused: no plan is chosen, one is of another family or has ended, the engine was removed, or what is said of
            the last time cannot be.
    """
    if not plans:
        raise Refused("Choose at least one plan.", fields={"plans": "Choose at least one plan."})
    if engine.removed_on is not None:
        raise Refused(f"This engine was removed on {date_words(engine.removed_on)}.")
    followed = set(Adoption.objects.filter(engine=engine, ended_at=None).values_list("plan_id", flat=True))
    made = []
    for plan in plans:
        _refuse_strange_plan(plan, engine)
        adoption = Adoption(
            engine=engine,
            plan=plan,
            basis=basis,
            last_on=last_on,
            last_hours=last_hours,
            source=source,
            remark=remark.strip(),
            added_by=by,
            changed_by=by,
        )
        settle(adoption)
        if plan.pk not in followed:
            adoption.save()
            made.append(adoption)
    tell(plans=[None, str(len(made))])
    return made


@command("change_adoption", needs=Permission.EDIT_RECORDS, writes_to="adoption.engine.vessel")
def change_adoption(
    *,
    by: Person,
    adoption: Adoption,
    seen_version: int,
    changes: Mapping[str, Any],
    entry_id: uuid.UUID | None = None,
) -> Adoption:
    """Say something else of the last time that a plan was done before the log knows of it.

    Raises:
        Conflict: somebody else saved in the meantime.
        Refused: it is no longer followed, or what is said cannot be.
        ValueError: a field is not to be changed here.
    """
    if strange := set(changes) - set(CHANGEABLE):
        raise ValueError(f"not to be changed here: {', '.join(sorted(strange))}")
    stored = Adoption.objects.select_related("engine", "plan").get(pk=adoption.pk)
    if stored.ended_at is not None:
        raise Refused("The engine does not follow this plan any more.")
    for name, value in changes.items():
        setattr(stored, name, value.strip() if isinstance(value, str) else value)
    settle(stored)
    wanted = {name: getattr(stored, name) for name in CHANGEABLE}
    apply_changes(adoption, seen_version=seen_version, changes=wanted, by=by)
    return adoption


@command("end_adoption", needs=Permission.EDIT_RECORDS, writes_to="adoption.engine.vessel")
def end_adoption(*, by: Person, adoption: Adoption, entry_id: uuid.UUID | None = None) -> Adoption:
    """Have an engine follow a plan no longer. What was done stays; taken up again, it begins with what is said then."""
    stored = Adoption.objects.get(pk=adoption.pk)
    if stored.ended_at is None:
        stored.ended_at, stored.ended_by, stored.changed_by = timezone.now(), by, by
        stored.version += 1
        stored.save(update_fields=["ended_at", "ended_by", "changed_by", "version"])
        tell(ended_at=[None, stored.ended_at.isoformat()])
    adoption.refresh_from_db()
    return adoption


def settle(adoption: Adoption) -> None:
    """Bring what was said into its one form, and refuse what cannot be.

    Raises:
        Refused: with the sentence beside its field.
    """
    if adoption.basis not in Basis.values:
        sentence = "Say what is known of the last time."
        raise Refused(sentence, fields={"basis": sentence})
    if adoption.basis == Basis.UNKNOWN:
        if adoption.last_on is not None or adoption.last_hours is not None:
            sentence = "You gave a day or hours: choose “Done before” or “New engine”, or leave them out."
            raise Refused(sentence, fields={"basis": sentence})
        adoption.source = ""
    elif adoption.last_on is None:
        sentence = "Enter the day. If nobody knows it, choose “Not known”."
        raise Refused(sentence, fields={"last_on": sentence})
    elif adoption.source not in Source.values:
        sentence = "Say whether it is our own work or what somebody told us."
        raise Refused(sentence, fields={"source": sentence})
    refuse_unsound(adoption, CHANGEABLE)
    if adoption.last_on is None:
        return
    if adoption.last_on > timezone.localdate():
        raise Refused("This day has not come yet.", fields={"last_on": "Today, or a day before."})
    if adoption.last_on < EARLIEST:
        raise Refused("This is too long ago.", fields={"last_on": "Check the year."})
    if adoption.basis == Basis.NEW:
        if adoption.last_hours not in {None, Decimal(0)}:
            sentence = "A new engine begins at 0 h. If it had run before, choose “Done before” or “Not known”."
            raise Refused(sentence, fields={"last_hours": sentence})
        adoption.last_hours = Decimal(0)
        _refuse_new_after_running(adoption.engine, adoption.last_on)
    _refuse_hours_that_do_not_fit(adoption.engine, adoption.last_on, adoption.last_hours)


def _refuse_new_after_running(engine: Engine, on: date) -> None:
    """An engine that had run before a day was not new on it. Nothing is said of 0 h, which perhaps nobody entered."""
    began = timezone.make_aware(datetime.combine(on, time.min))
    before = hours_around(engine, began).before
    if before is not None and before.hours > 0:
        sentence = (
            f"The engine had {hours_words(before.hours)} on {day_words(before.at)}, so it was not new on "
            f"{day_words(began)}. Check the day, or choose “Done before” or “Not known”."
        )
        raise Refused("The day cannot be right.", fields={"last_on": sentence})


def _refuse_hours_that_do_not_fit(engine: Engine, on: date, hours: Decimal | None) -> None:
    """Hours on a day lie between those that are known of the days before and after."""
    if hours is None:
        return
    began = timezone.make_aware(datetime.combine(on, time.min))
    ended = timezone.make_aware(datetime.combine(on + timedelta(days=1), time.min)) - timedelta(microseconds=1)
    around = Neighbors(hours_around(engine, began).before, hours_around(engine, ended).after)
    sentence = backwards(hours, around)
    if sentence is not None:
        raise Refused("The hours cannot be right.", fields={"last_hours": sentence})


def _refuse_strange_plan(plan: ServicePlan, engine: Engine) -> None:
    if plan.family_id != engine.family_id:
        sentence = f"“{plan}” is a plan for {plan.family}, and this engine is of another family."
        raise Refused(sentence, fields={"plans": sentence})
    if plan.ended_at is not None:
        sentence = f"“{plan}” has ended."
        raise Refused(sentence, fields={"plans": sentence})
