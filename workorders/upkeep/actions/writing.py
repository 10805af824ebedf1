"""Letters about service due: written, drawn by a worker, and noted as sent."""

from __future__ import annotations

import hashlib
import uuid
from collections.abc import Sequence
from datetime import date

from django.utils import timezone

from commands.background import ask
from commands.envelope import command
from commands.refusals import Refused
from files.paper.letters import unprintable
from staff.models import Person
from staff.policy import Permission
from staff.queries import shop_profile
from vessels.models import Customer
from vessels.wording import date_words
from workorders.upkeep.actions.reminding import refuse_reminded_since
from workorders.upkeep.letters.tasks import DRAW_LETTER
from workorders.upkeep.letters.writing import as_text, from_text, record_of, told_of
from workorders.upkeep.models import Reminder, ReminderLetter
from workorders.upkeep.queries.calling import to_remind, unwilling

MOST = 200


@command("write_letters", needs=Permission.REMIND_OWNERS, again=lambda _: [])
def write_letters(
    *,
    by: Person,
    customers: Sequence[Customer],
    until: date | None = None,
    last_seen: int | None = None,
    entry_id: uuid.UUID | None = None,
) -> list[ReminderLetter]:
    """Write one letter to each customer, with all boats and services; a worker draws them after the commit.

    Raises:
        Refused: nobody is chosen, nothing is due for one of them, one wants no reminders, has a letter that was not
            sent, was reminded since ``last_seen``, or a letter cannot be printed.
    """
    if not customers:
        raise Refused("Choose who gets a letter.")
    if len(customers) > MOST:
        raise Refused(f"No more than {MOST} letters at once.")
    keys = sorted({customer.pk for customer in customers})
    locked = list(Customer.objects.select_for_update().filter(pk__in=keys).order_by("pk"))
    _refuse_waiting(keys)
    refuse_reminded_since(locked, last_seen)
    due = {one.owner.pk: one for one in to_remind(until, owners=keys)}
    left_alone = unwilling()
    shop, today = shop_profile(), timezone.localdate()
    made = []
    for customer in locked:
        if customer.pk in left_alone:
            raise Refused(f"{customer} wants no reminders. Open the list again.")
        if customer.pk not in due:
            raise Refused(f"Nothing is due for {customer} any more. Open the list again.")
        record = record_of(due[customer.pk], shop, today=today, until=until)
        if lacking := unprintable({"letter": record}, "letter", then="write it again"):
            raise Refused(f"{customer}: {lacking}")
        text = as_text(record)
        letter = ReminderLetter.objects.create(
            customer=customer, record=text, record_sha256=hashlib.sha256(text.encode()).hexdigest(), written_by=by
        )
        ask(DRAW_LETTER.name, str(letter.pk))
        made.append(letter)
    return made


@command("note_letters_sent", needs=Permission.REMIND_OWNERS, again=lambda _: [])
def note_letters_sent(
    *, by: Person, letters: Sequence[ReminderLetter], entry_id: uuid.UUID | None = None
) -> list[Reminder]:
    """Note that letters were sent: each counts as a reminder of its boats. One that is noted already stays as it is.

    Raises:
        Refused: none is chosen, or one was discarded or is not drawn yet.
    """
    if not letters:
        raise Refused("Choose the letters that were sent.")
    made = []
    for letter in _locked(letters):
        if letter.sent_at is not None:
            continue
        if letter.discarded_at is not None:
            raise Refused(f"The letter to {letter.customer} was discarded. Write it again.")
        if not letter.pdf_sha256:
            raise Refused(f"The letter to {letter.customer} is not drawn yet, so it cannot have been sent.")
        letter.sent_at, letter.sent_by = timezone.now(), by
        letter.save(update_fields=["sent_at", "sent_by"])
        for boat in from_text(letter.record)["boats"]:
            made.append(
                Reminder.objects.create(
                    vessel_id=boat["vessel"],
                    customer_id=letter.customer_id,
                    way="letter",
                    told=told_of(boat),
                    letter=letter,
                    at=letter.sent_at,
                    by=by,
                )
            )
    return made


@command("discard_letter", needs=Permission.REMIND_OWNERS, writes_to="letter.customer")
def discard_letter(*, by: Person, letter: ReminderLetter, entry_id: uuid.UUID | None = None) -> ReminderLetter:
    """Have a letter count as not sent for good. It stays on the list of letters.

    Raises:
        Refused: it was sent.
    """
    (stored,) = _locked([letter])
    if stored.sent_at is not None:
        raise Refused(f"The letter to {stored.customer} was sent on {date_words(timezone.localdate(stored.sent_at))}.")
    if stored.discarded_at is None:
        stored.discarded_at, stored.discarded_by = timezone.now(), by
        stored.save(update_fields=["discarded_at", "discarded_by"])
    return stored


@command("draw_letter_again", needs=Permission.REMIND_OWNERS, writes_to="letter.customer")
def draw_letter_again(*, by: Person, letter: ReminderLetter, entry_id: uuid.UUID | None = None) -> ReminderLetter:
    """Have a letter drawn after that went wrong."""
    (stored,) = _locked([letter])
    if stored.waits and not stored.pdf_sha256:
        stored.problem = ""
        stored.save(update_fields=["problem"])
        ask(DRAW_LETTER.name, str(stored.pk))
    return stored


def _refuse_waiting(customers: Sequence[int]) -> None:
    waiting = (
        ReminderLetter.objects.filter(customer__in=customers, sent_at=None, discarded_at=None)
        .select_related("customer")
        .order_by("pk")
        .first()
    )
    if waiting is not None:
        day = date_words(timezone.localdate(waiting.written_at))
        raise Refused(
            f"A letter to {waiting.customer} of {day} was not sent yet. Send or discard it first, under Letters."
        )


def _locked(letters: Sequence[ReminderLetter]) -> list[ReminderLetter]:
    keys = [letter.pk for letter in letters]
    found = ReminderLetter.objects.select_for_update(of=("self",)).select_related("customer")
    return list(found.filter(pk__in=keys).order_by("pk"))
