"""Who is to be reminded of service due: owners with their boats, what is due, and when they were last reminded."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.utils import timezone

from engineering.service import Standing
from vessels.models import Customer, CustomerEmail, CustomerPhone, Vessel
from workorders.upkeep.besides import told_besides
from workorders.upkeep.models import Judgment, Reminder, ReminderLetter, ReminderWish
from workorders.upkeep.queries.due import ASKED_FOR, Due, due_as_of, due_of
from workorders.upkeep.queries.kept import answers, in_order, judgments, of_standing, open_jobs
from workorders.upkeep.wording import line_words, then_words

STEP = 200


@dataclass(frozen=True)
class BoatDue:
    """A boat with service due, what of it is not known, and the last reminder that this owner got for it."""

    vessel_id: int
    vessel: str
    due: Sequence[Due]
    not_known: Sequence[Due]
    besides: Sequence[tuple[str, list[str]]]
    last: Reminder | None

    @property
    def lines(self) -> list[str]:
        """What is due, a line each."""
        return [line_words(due) for due in self.due]

    @property
    def not_known_lines(self) -> list[str]:
        """What is not known, a line each."""
        return [line_words(due) for due in self.not_known]

    @property
    def then_lines(self) -> list[str]:
        """What was due on a day that has passed, and what was not known, a line each."""
        return [then_words(due) for due in (*self.due, *self.not_known)]

    @property
    def told(self) -> str:
        """The same as the note of a reminder keeps it, with what was told besides."""
        told = [f"{title}: {sentence}" for title, sentences in self.besides for sentence in sentences]
        return "\n".join([*self.lines, *self.not_known_lines, *told])


@dataclass(frozen=True)
class ToRemind:
    """An owner with the boats that have service due, and the letter to them that is not sent yet."""

    owner: Customer
    boats: Sequence[BoatDue]
    phones: Sequence[CustomerPhone]
    emails: Sequence[CustomerEmail]
    waiting: ReminderLetter | None

    @property
    def last(self) -> Reminder | None:
        """The last reminder of any of these boats."""
        return max((boat.last for boat in self.boats if boat.last), key=lambda one: (one.at, one.pk), default=None)


def to_remind(until: date | None = None, *, owners: Collection[int] | None = None) -> list[ToRemind]:
    """Owners of boats with service overdue, due or due soon, the most urgent first; some of them judged now.

    ``until`` asks also for what comes to be due by that day, and leaves out what is due later. Services that are on
    an open job are being seen to, and owners who want no reminders are left alone.
    """
    if owners is None:
        return list(everybody_to_remind(until))
    vessels = list(Vessel.objects.filter(owner__in=owners).values_list("pk", flat=True))
    return _to_remind(due_of(vessels=vessels), until, set(unwilling()))


@dataclass(frozen=True)
class OwnersToRemind:
    """The same across the shop, as it is kept: the services that are asked for, and who wants no reminders."""

    asked: QuerySet[Judgment]
    unwilling: Mapping[int, ReminderWish]

    @property
    def first(self) -> QuerySet[Judgment]:
        """The first service of each owner; in the order of ``place`` they are the owners."""
        mine = self.asked.filter(owner=OuterRef("owner"))
        earlier = mine.filter(Q(place__lt=OuterRef("place")) | Q(place=OuterRef("place"), pk__lt=OuterRef("pk")))
        return self.asked.filter(~Exists(earlier))

    def count(self) -> int:
        """How many owners that are."""
        return self.asked.values("owner").distinct().count()


def owners_to_remind(until: date | None = None) -> OwnersToRemind:
    """Owners of boats with service that is asked for, without those who want no reminders."""
    left_alone = unwilling()
    return OwnersToRemind(_asked_for(until).exclude(owner__in=list(left_alone)), left_alone)


def to_remind_for(first: Sequence[Judgment], until: date | None = None) -> list[ToRemind]:
    """The owners of these services with all that is theirs, in their order: a fixed number of queries."""
    return _of_owners([one.owner_id for one in first], until)


def _of_owners(owners: Sequence[int], until: date | None) -> list[ToRemind]:
    found = Judgment.objects.filter(owner__in=owners).order_by("place", "pk")
    return _to_remind(answers(found), until, set())


def everybody_to_remind(until: date | None = None) -> Iterator[ToRemind]:
    """All of them, some at a time: what is asked for is gone through once, and an owner comes with the first of it."""
    known: set[int] = set()
    some: list[int] = []
    for _, _, owner in in_order(owners_to_remind(until).asked, "owner"):
        if owner in known:
            continue
        known.add(owner)
        some.append(owner)
        if len(some) == STEP:
            yield from _of_owners(some, until)
            some = []
    yield from _of_owners(some, until)


def _asked_for(until: date | None) -> QuerySet[Judgment]:
    """What owners are reminded of, as :func:`is_asked_for` says."""
    found = judgments()
    if until is None:
        found = of_standing(found, *ASKED_FOR)
    else:
        soon = Q(standing=Standing.SOON.value, due_on=None)
        found = found.filter(Q(standing__in=[Standing.OVERDUE.value, Standing.DUE.value]) | soon | Q(due_on__lte=until))
    return found.exclude(pk__in=list(open_jobs()))


def _to_remind(
    judged: Iterable[Due], until: date | None, left_alone: Collection[int], end: datetime | None = None
) -> list[ToRemind]:
    by_boat: dict[int, list[Due]] = defaultdict(list)
    not_known: dict[int, list[Due]] = defaultdict(list)
    for due in judged:
        one = due.followed
        if one.open_job is not None or one.owner_id in left_alone:
            continue
        if is_asked_for(due, until):
            by_boat[one.vessel_id].append(due)
        elif due.standing is Standing.NOT_KNOWN:
            not_known[one.vessel_id].append(due)
    return _by_owner(by_boat, not_known, end)


def to_remind_as_of(day: date) -> list[ToRemind]:
    """Who was to be reminded on a day that has passed, the most urgent first: of what stood then (``due_as_of``).

    Reminders, and the word of who wanted none, count up to the end of that day. What is told besides is of today, and
    left out.
    """
    end = timezone.make_aware(datetime.combine(day + timedelta(days=1), time.min))
    return _to_remind(due_as_of(day), None, set(unwilling(end)), end)


def is_asked_for(due: Due, until: date | None) -> bool:
    """Whether an owner is reminded of a service: as it stands today, or for what is due until a day."""
    if until is None or due.standing in {Standing.OVERDUE, Standing.DUE}:
        return due.is_asked_for
    if due.judged.due_on is None:
        return due.is_asked_for
    return due.judged.due_on <= until


def to_remind_of(owner: int, until: date | None = None) -> ToRemind | None:
    """The same of one owner; None where nothing is due, or where no reminder is wanted."""
    found = to_remind(until, owners=[owner])
    return found[0] if found else None


def unwilling(end: datetime | None = None) -> dict[int, ReminderWish]:
    """Who wants no reminders, or wanted none before a moment, by customer, with the note that says so: one query."""
    last = (
        ReminderWish.objects.filter(Q() if end is None else Q(at__lt=end))
        .order_by("customer_id", "-at", "-pk")
        .distinct("customer_id")
        .select_related("by", "customer")
    )
    return {wish.customer_id: wish for wish in last if not wish.wants}


def _by_owner(by_boat: dict[int, list[Due]], not_known: dict[int, list[Due]], end: datetime | None) -> list[ToRemind]:
    keys = {boat[0].followed.owner_id for boat in by_boat.values()}
    owners = Customer.objects.in_bulk(keys)
    phones: dict[int, list[CustomerPhone]] = defaultdict(list)
    for phone in CustomerPhone.objects.filter(customer__in=keys):
        phones[phone.customer_id].append(phone)
    emails: dict[int, list[CustomerEmail]] = defaultdict(list)
    for email in CustomerEmail.objects.filter(customer__in=keys):
        emails[email.customer_id].append(email)
    last = {
        (one.vessel_id, one.customer_id): one
        for one in Reminder.objects.filter(Q() if end is None else Q(at__lt=end), vessel__in=by_boat)
        .select_related("by")
        .order_by("vessel", "customer", "at", "pk")
    }
    waiting = {
        letter.customer_id: letter
        for letter in ReminderLetter.objects.filter(customer__in=keys, sent_at=None, discarded_at=None)
        .select_related("written_by")
        .defer("record")
    }
    besides = told_besides(list(by_boat)) if end is None else {}
    boats: dict[int, list[BoatDue]] = defaultdict(list)
    for key, boat in by_boat.items():
        first = boat[0].followed
        boats[first.owner_id].append(
            BoatDue(key, first.vessel, boat, not_known[key], besides.get(key, ()), last.get((key, first.owner_id)))
        )
    return [
        ToRemind(
            owner=owners[key],
            boats=of,
            phones=phones[key],
            emails=emails[key],
            waiting=waiting.get(key),
        )
        for key, of in boats.items()
    ]
