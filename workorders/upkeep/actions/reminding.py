"""Owners are reminded of service due: noted with how, of what, and by whom; and some want no reminder."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from datetime import date

from django.utils import timezone

from commands.envelope import command
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from vessels.models import Customer, Vessel
from vessels.wording import date_words
from workorders.actions.checking import refuse_unsound
from workorders.upkeep.models import Reminder, ReminderWish
from workorders.upkeep.queries.calling import to_remind_of

NOTHING_DUE = "nothing was due by the records of that day"


@command("note_reminder", needs=Permission.REMIND_OWNERS, writes_to="customer", again=lambda _: [])
def note_reminder(
    *,
    by: Person,
    customer: Customer,
    vessels: Sequence[Vessel],
    way: str,
    remark: str = "",
    until: date | None = None,
    last_seen: int | None = None,
    entry_id: uuid.UUID | None = None,
) -> list[Reminder]:
    """Note that an owner was reminded of boats, and of what: as the records say now, for the list until that day.

    ``last_seen`` is the last reminder of the shop that the page knew of: a later one of this owner is told.

    Raises:
        Refused: it is not said how, a boat is somebody else's by now, or this owner was reminded in the meantime.
    """
    if way not in dict(Reminder.WAYS):
        raise Refused("Say how.", fields={"way": "Say how the owner was reminded."})
    if not vessels:
        raise Refused("Choose at least one boat.")
    refuse_reminded_since([customer], last_seen)
    due = to_remind_of(customer.pk, until)
    told = {boat.vessel_id: boat.told for boat in due.boats} if due is not None else {}
    made = []
    for vessel in vessels:
        vessel.refresh_from_db(fields=["owner"])
        if vessel.owner_id != customer.pk:
            raise Refused(f"{vessel} is not {customer}’s boat any more. Open the list again.")
        note = Reminder(
            vessel=vessel,
            customer=customer,
            way=way,
            remark=remark.strip(),
            told=told.get(vessel.pk, NOTHING_DUE),
            by=by,
        )
        refuse_unsound(note, ["remark"])
        note.save()
        made.append(note)
    return made


@command("note_reminder_wish", needs=Permission.REMIND_OWNERS, writes_to="customer")
def note_reminder_wish(
    *, by: Person, customer: Customer, wants: bool, remark: str = "", entry_id: uuid.UUID | None = None
) -> ReminderWish:
    """Note whether a customer wants to be reminded of service due."""
    made = ReminderWish(customer=customer, wants=wants, remark=remark.strip(), by=by)
    refuse_unsound(made, ["remark"])
    made.save()
    return made


def refuse_reminded_since(customers: Sequence[Customer], last_seen: int | None) -> None:
    """Refuse to remind somebody whom somebody else reminded after the page was opened."""
    if last_seen is None:
        return
    since = Reminder.objects.filter(customer__in=customers, pk__gt=last_seen).select_related("customer", "by").first()
    if since is not None:
        raise Refused(
            f"{since.customer} was reminded since you opened the list: on {date_words(timezone.localdate(since.at))} "
            f"{since.by} {since.get_way_display()}. Open the list again."
        )
