"""Who is to be called about service due: boats with their owners, what is due, and when they were last reminded."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from vessels.models import Customer, CustomerEmail, CustomerPhone
from workorders.upkeep.models import Reminder
from workorders.upkeep.queries.due import Due, due_of
from workorders.upkeep.wording import MANUAL_DECIDES, day_words_of, head_words, line_words


@dataclass(frozen=True)
class ToRemind:
    """A boat with service due, its owner, and the last reminder that this owner got for this boat."""

    vessel_id: int
    vessel: str
    owner: Customer
    due: Sequence[Due]
    phones: Sequence[CustomerPhone]
    emails: Sequence[CustomerEmail]
    last: Reminder | None

    @property
    def lines(self) -> list[str]:
        """What is due, a line each."""
        return [line_words(due) for due in self.due]

    @property
    def told(self) -> str:
        """The same as the note of a reminder keeps it."""
        return "\n".join(self.lines)

    def mail(self, shop: str, phone: str) -> str:
        """A mail to copy. It says what our records say, and no more."""
        due = "\n".join(f"- {_mail_line(one)}" for one in self.due)
        call = f" at {phone}" if phone else ""
        return (
            f"Dear {self.owner.contact or self.owner.name},\n\n"
            f"our records show this service for {self.vessel}:\n\n{due}\n\n"
            "If you have run more hours since we last read the meter, or had it done elsewhere, please tell us: then "
            f"we correct our records. {MANUAL_DECIDES}\n\nPlease call us{call} for an appointment.\n\n{shop}\n"
        )


def _mail_line(due: Due) -> str:
    day = day_words_of(due)
    return f"{due.followed.plan}, {due.followed.engine}: {head_words(due).lower()}{f' ({day})' if day else ''}"


def to_remind() -> list[ToRemind]:
    """Every boat with service overdue, due or due soon, the most urgent first: four queries more than the judging."""
    by_boat: dict[int, list[Due]] = defaultdict(list)
    for due in due_of():
        if due.is_asked_for:
            by_boat[due.followed.vessel_id].append(due)
    return _with_owners(by_boat)


def to_remind_of(vessel: int) -> ToRemind | None:
    """The same of one boat; None where nothing is due."""
    found = [due for due in due_of(vessel) if due.is_asked_for]
    return _with_owners({vessel: found})[0] if found else None


def _with_owners(by_boat: dict[int, list[Due]]) -> list[ToRemind]:
    owners = Customer.objects.prefetch_related("phones", "emails").in_bulk(
        {boat[0].followed.owner_id for boat in by_boat.values()}
    )
    last = {
        (one.vessel_id, one.customer_id): one
        for one in Reminder.objects.filter(vessel__in=by_boat)
        .select_related("by")
        .order_by("vessel", "customer", "at", "pk")
    }
    return [
        ToRemind(
            vessel_id=key,
            vessel=boat[0].followed.vessel,
            owner=(owner := owners[boat[0].followed.owner_id]),
            due=boat,
            phones=list(owner.phones.all()),
            emails=list(owner.emails.all()),
            last=last.get((key, owner.pk)),
        )
        for key, boat in by_boat.items()
    ]
