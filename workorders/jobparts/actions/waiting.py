"""Parts that a job waits for. They are between the shop and its suppliers: kept with who and when, and not in the log.

Nothing here moves a job: a part that arrived makes the page say so, and a person decides.
"""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from django.utils import timezone

from commands.envelope import command, tell
from commands.questions import ask_once
from commands.refusals import Refused
from engineering.canonical import plain_decimal
from parts.models import Part
from staff.models import Person
from staff.policy import Permission
from vessels.log.chain import FUTURE_ALLOWED
from vessels.wording import date_words
from web.versions import apply_changes
from workorders.actions.checking import lock_job, refuse_ended
from workorders.jobparts.actions.checking import (
    NAMES,
    name_it,
    refuse_long_words,
    refuse_odd_quantity,
    refuse_strange_line,
)
from workorders.jobparts.models import AwaitedPart
from workorders.models import Job, JobLine

FARTHEST = timedelta(days=2 * 366)
CHANGEABLE = (*NAMES, "quantity", "supplier", "ordered_on", "expected_on", "remark", "line")


@command("await_part", needs=Permission.AWAIT_PARTS, writes_to="job.vessel")
def await_part(
    *,
    by: Person,
    job: Job,
    quantity: Decimal,
    part: Part | None = None,
    maker: str = "",
    number: str = "",
    description: str = "",
    line: JobLine | None = None,
    supplier: str = "",
    ordered_on: date | None = None,
    expected_on: date | None = None,
    remark: str = "",
    entry_id: uuid.UUID | None = None,
) -> AwaitedPart:
    """Put a part on the list of what a job waits for.

    Raises:
        Refused: what it is or how many is missing or cannot be, the days contradict each other, or the job is closed.
    """
    stored = lock_job(job)
    refuse_ended(stored)
    awaited = AwaitedPart(
        job=stored,
        line=line,
        quantity=quantity,
        supplier=supplier.strip(),
        ordered_on=ordered_on,
        expected_on=expected_on,
        remark=remark.strip(),
        added_by=by,
        added_at=timezone.now(),
        changed_by=by,
    )
    name_it(awaited, part=part, maker=maker, number=number, description=description)
    refuse_odd_quantity(quantity)
    refuse_strange_line(line, stored)
    refuse_long_words(awaited, "supplier", "remark")
    _refuse_odd_days(ordered_on, expected_on)
    awaited.save()
    if expected_on is not None:
        tell(expected_on=[None, expected_on.isoformat()])
    return awaited


@command("change_awaited", needs=Permission.AWAIT_PARTS, writes_to="awaited.job.vessel")
def change_awaited(
    *,
    by: Person,
    awaited: AwaitedPart,
    seen_version: int,
    changes: Mapping[str, Any],
    entry_id: uuid.UUID | None = None,
) -> AwaitedPart:
    """Change what is known of a part that is waited for, such as the day on which it is expected.

    Raises:
        Conflict: somebody else saved in the meantime.
        Refused: it has arrived or is no longer waited for, or as for a new one.
        ValueError: a field is not to be changed here.
    """
    if strange := set(changes) - set(CHANGEABLE):
        raise ValueError(f"not to be changed here: {', '.join(sorted(strange))}")
    stored = _still_awaited(awaited)
    refuse_ended(lock_job(stored.job))
    wanted = {name: value.strip() if isinstance(value, str) else value for name, value in changes.items()}
    if stored.part is not None and wanted.get("number", stored.part.number) != stored.part.number:
        wanted["part"] = None  # it is another one now
    for name, value in wanted.items():
        setattr(stored, name, value)
    if not stored.number and not stored.description:
        sentence = "Enter a number or a description."
        raise Refused(sentence, fields={"number": sentence})
    refuse_odd_quantity(stored.quantity)
    refuse_strange_line(stored.line, stored.job)
    refuse_long_words(stored, "supplier", "remark")
    before = AwaitedPart.objects.get(pk=awaited.pk)
    if (stored.ordered_on, stored.expected_on) != (before.ordered_on, before.expected_on):
        _refuse_odd_days(stored.ordered_on, stored.expected_on)
    apply_changes(awaited, seen_version=seen_version, changes=wanted, by=by)
    return awaited


@command("part_arrived", needs=Permission.AWAIT_PARTS, writes_to="awaited.job.vessel")
def part_arrived(
    *,
    by: Person,
    awaited: AwaitedPart,
    quantity: Decimal | None = None,
    seen_quantity: Decimal | None = None,
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
) -> AwaitedPart:
    """Note that a part is here: all of it, or ``quantity`` of it, and then the rest is still waited for.

    What came of a part order stands beside it on the list as a row of its own; both together are what was ordered.
    ``seen_quantity`` is what the person saw that was waited for. Who notes all of it second changes nothing.

    Raises:
        Refused: it is no longer waited for, the time cannot be, so many are not waited for, or somebody else noted an
            arrival in the meantime.
    """
    stored = AwaitedPart.objects.get(pk=awaited.pk)
    if stored.canceled_at is not None:
        raise Refused(f"“{stored}” is no longer waited for. Add it to the list again.")
    if quantity is not None:
        _refuse_other_quantity(stored, quantity, seen_quantity)
    if stored.arrived_at is None:
        at = happened_at or timezone.now()
        if at > timezone.now() + FUTURE_ALLOWED:
            raise Refused("This is in the future.", fields={"happened_at": "Enter a time in the past."})
        if stored.ordered_on is not None and timezone.localdate(at) < stored.ordered_on:
            sentence = f"It was ordered on {date_words(stored.ordered_on)}, and cannot have arrived before."
            raise Refused(sentence, fields={"happened_at": sentence})
        if quantity is None or quantity == stored.quantity:
            _mark(stored, by, arrived_at=at, arrived_by=by)
        else:
            _part_of_it(stored, by, quantity, at)
    awaited.refresh_from_db()
    return awaited


def _refuse_other_quantity(stored: AwaitedPart, quantity: Decimal, seen: Decimal | None) -> None:
    refuse_odd_quantity(quantity)
    if stored.arrived_at is not None or (seen is not None and seen != stored.quantity):
        still = "nothing of it is" if stored.arrived_at is not None else f"{stored.quantity_words} of it {_are(stored)}"
        raise Refused(f"Somebody noted an arrival of “{stored.words}” before you: {still} still to come. Look again.")
    if quantity > stored.quantity:
        sentence = f"Only {stored.quantity_words} {_are(stored)} waited for. If more came, change the order first."
        raise Refused(sentence, fields={"quantity": sentence})


def _are(stored: AwaitedPart) -> str:
    return "is" if stored.quantity == 1 else "are"


def _part_of_it(stored: AwaitedPart, by: Person, quantity: Decimal, at: datetime) -> None:
    """Set apart what came; the row that was ordered keeps the rest."""
    came = AwaitedPart.objects.get(pk=stored.pk)
    came.pk, came._state.adding = None, True
    came.quantity, came.arrived_at, came.arrived_by, came.changed_by, came.version = quantity, at, by, by, 1
    came.order_id = stored.order_id or stored.pk
    came.save(force_insert=True)
    before = stored.quantity
    stored.quantity, stored.version, stored.changed_by = before - quantity, stored.version + 1, by
    stored.save(update_fields=["quantity", "version", "changed_by"])
    tell(still_to_come=[plain_decimal(before), plain_decimal(stored.quantity)])


@command("void_arrival", needs=Permission.AWAIT_PARTS, writes_to="awaited.job.vessel")
def void_arrival(*, by: Person, awaited: AwaitedPart, entry_id: uuid.UUID | None = None) -> AwaitedPart:
    """Note that a part is not here after all: it was another one, or the wrong one."""
    stored = AwaitedPart.objects.get(pk=awaited.pk)
    if stored.arrived_at is not None:
        refuse_ended(lock_job(stored.job))
        _mark(stored, by, arrived_at=None, arrived_by=None)
    awaited.refresh_from_db()
    return awaited


@command("cancel_awaited", needs=Permission.AWAIT_PARTS, writes_to="awaited.job.vessel")
def cancel_awaited(*, by: Person, awaited: AwaitedPart, entry_id: uuid.UUID | None = None) -> AwaitedPart:
    """Wait for a part no longer. It stays on the list, marked.

    Raises:
        Refused: it has arrived.
    """
    stored = AwaitedPart.objects.get(pk=awaited.pk)
    if stored.arrived_at is not None:
        raise Refused(f"“{stored}” has arrived already.")
    if stored.canceled_at is None:
        _mark(stored, by, canceled_at=timezone.now(), canceled_by=by)
    awaited.refresh_from_db()
    return awaited


def _mark(awaited: AwaitedPart, by: Person, **marks: Any) -> None:
    """Write who and when, and tell the journal the moment."""
    name = next(iter(marks))
    before, after = getattr(awaited, name), marks[name]
    for field, value in marks.items():
        setattr(awaited, field, value)
    awaited.version, awaited.changed_by = awaited.version + 1, by
    awaited.save(update_fields=[*marks, "version", "changed_by"])
    moments = [None if one is None else one.isoformat() for one in (before, after)]
    tell(**{name: moments})


def _still_awaited(awaited: AwaitedPart) -> AwaitedPart:
    stored = AwaitedPart.objects.select_related("job", "line", "part").get(pk=awaited.pk)
    if stored.arrived_at is not None:
        raise Refused(f"“{stored}” has arrived. There is nothing to change about the order.")
    if stored.canceled_at is not None:
        raise Refused(f"“{stored}” is no longer waited for. Add it to the list again.")
    return stored


def _refuse_odd_days(ordered: date | None, expected: date | None) -> None:
    today = timezone.localdate()
    if ordered is not None and ordered > today:
        raise Refused("This day has not come yet.", fields={"ordered_on": "Today, or a day before."})
    if ordered is not None and ordered < today - FARTHEST:
        raise Refused("This is too long ago.", fields={"ordered_on": "More than two years ago. Check the year."})
    if expected is None:
        return
    if ordered is not None and expected < ordered:
        sentence = "It cannot be expected before it was ordered."
        raise Refused(sentence, fields={"expected_on": sentence})
    if expected > today + FARTHEST:
        raise Refused("This day is too far away.", fields={"expected_on": "More than two years ahead. Check the year."})
    if expected < today - FARTHEST:
        raise Refused("This is too long ago.", fields={"expected_on": "More than two years ago. Check the year."})
    if expected < today:
        tick = f"expected on {date_words(expected)}, which has passed"
        ask_once(f"expected on {expected}", "This day has passed already.", field="expected_on", tick=tick)
