"""The call list: a row for each job with questions, those that nobody called about lately first, a page at a time."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Exists, OuterRef, QuerySet
from django.utils import timezone

from workorders.calls.asking import Ask, Which, asks, priced_elsewhere
from workorders.calls.models import Call
from workorders.models import Charge, Job
from workorders.queries.jobs import OPEN_STATES
from workorders.states import JobState

FEW = 10
PAGE_SIZE = 25
RELIEVES = "moved-"
"""Keys of what is told once: a call that was noted after it settles it."""
NOW, LATER, UNPRICED = "now", "later", "unpriced"


@dataclass(frozen=True)
class Row:
    """A job to call about."""

    job: Job
    asks: Sequence[Ask]
    last: Call | None
    rests_until: date | None = None

    @property
    def sums(self) -> list[tuple[str, Decimal]]:
        """The sums that it is about, each with what it is; for those who see prices."""
        return [(ask.sum_is, ask.sum) for ask in self.asks if ask.sum is not None]

    @property
    def phones(self) -> list[object]:
        """Where the customer is reached."""
        return list(self.job.customer.phones.all())


@dataclass(frozen=True)
class Listed:
    """A place in the list, of which nothing is shown yet: a job by its key and number, in one of the three parts."""

    part: str
    key: int
    number: int
    asks: Sequence[Ask] = ()
    last: Call | None = None
    rests_until: date | None = None

    @property
    def cursor(self) -> str:
        """How an address names it."""
        return f"{self.part}-{self.number}"


@dataclass(frozen=True)
class CallList:
    """Whom to call now, whom later, and what has no price yet: some of it, and how many there are of each.

    ``is_cut``: of some question there was more than is looked at, so that the counts may be too small.
    """

    now: Sequence[Row]
    later: Sequence[Row]
    unpriced: Sequence[Job]
    counts: dict[str, int]
    is_cut: bool = False
    after: str = ""
    """Where the next page begins; empty where nothing follows."""
    is_first: bool = True

    @property
    def left_out(self) -> int:
        """How many more there are than are shown."""
        return sum(self.counts.values()) - len(self.now) - len(self.later) - len(self.unpriced)


def call_list() -> CallList:
    """The whole list, in a fixed number of queries."""
    return Listing.read().shown(None)


def first_calls(few: int = FEW) -> CallList:
    """The beginning of each part of it."""
    listing = Listing.read()
    return listing.shown([one for part in listing.parts for one in part[:few]])


def page_of_calls(after: str, size: int = PAGE_SIZE) -> CallList:
    """What follows the row that ``after`` names, ``size`` rows of it; the beginning where there is no such row."""
    listing = Listing.read()
    rows = listing.rows
    place = next((place for place, one in enumerate(rows, 1) if one.cursor == after), 0)
    page = rows[place : place + size]
    return listing.shown(page, after=page[-1].cursor if len(rows) > place + size else "", is_first=not place)


@dataclass(frozen=True)
class Listing:
    """Every place of the list in order, as far as it is looked at; ``is_cut`` where there was more."""

    parts: tuple[Sequence[Listed], Sequence[Listed], Sequence[Listed]]
    is_cut: bool

    @classmethod
    def read(cls) -> Listing:
        """All of it, without what its rows show."""
        which = Which()
        now, later = _to_call(which)
        unpriced = [Listed(UNPRICED, key, number) for key, number in which.first(_unpriced(), "unpriced")]
        return cls((now, later, unpriced), bool(which.cut))

    @property
    def rows(self) -> list[Listed]:
        """Its parts, one after the other."""
        return [one for part in self.parts for one in part]

    def shown(self, places: Sequence[Listed] | None, *, after: str = "", is_first: bool = True) -> CallList:
        """Some of its places with what their rows show, or all; a job that is gone in the meantime is left out."""
        places = self.rows if places is None else places
        jobs = Job.objects.select_related("vessel", "customer").prefetch_related("customer__phones")
        known = jobs.in_bulk({one.key for one in places})
        rows: dict[str, list[Row]] = {NOW: [], LATER: [], UNPRICED: []}
        for one in places:
            if one.key in known:
                rows[one.part].append(Row(known[one.key], one.asks, one.last, one.rests_until))
        counts = dict(zip(rows, map(len, self.parts), strict=True))
        unpriced = [row.job for row in rows[UNPRICED]]
        return CallList(rows[NOW], rows[LATER], unpriced, counts, self.is_cut, after, is_first)


def _to_call(which: Which) -> tuple[list[Listed], list[Listed]]:
    """Whom to call now, and whom later."""
    by_job: dict[int, list[Ask]] = {}
    for ask in asks(which):
        by_job.setdefault(ask.job_id, []).append(ask)
    last = _last_calls(by_job)
    numbers = dict(Job.objects.filter(pk__in=by_job, state__in=OPEN_STATES).order_by().values_list("pk", "number"))
    today = timezone.localdate()
    now: list[Listed] = []
    later: list[Listed] = []
    for key, asked in by_job.items():
        call, number = last.get(key), numbers.get(key)
        its = [
            ask for ask in asked if not (ask.key.startswith(RELIEVES) and call is not None and ask.key in call.about)
        ]
        if number is None or not its:
            continue
        until = _rests_until(call, its, today)
        if until is None:
            now.append(Listed(NOW, key, number, its, call))
        else:
            later.append(Listed(LATER, key, number, its, call, until))
    later.sort(key=lambda one: (one.rests_until or today, one.number))
    return now, later


def _last_calls(jobs: Iterable[int]) -> dict[int, Call]:
    found = Call.objects.filter(job__in=list(jobs)).select_related("by")
    return {call.job_id: call for call in found.order_by("job_id", "-at", "-pk").distinct("job_id")}


def _rests_until(call: Call | None, its: Sequence[Ask], today: date) -> date | None:
    """Until when nobody calls again: the day that was said, or the next one; None where something new is asked."""
    if call is None or {ask.key for ask in its} - set(call.about):
        return None
    if call.again_on is not None:
        return call.again_on if call.again_on > today else None
    return today if timezone.localdate(call.at) == today else None


def _unpriced() -> QuerySet[Job, tuple[int, int]]:
    """Jobs at the estimate for which nothing is priced yet: before anybody can call, somebody has to price them."""
    charged = Exists(Charge.objects.filter(job=OuterRef("pk"), struck_at=None, unit_price__gt=0))
    found = Job.objects.filter(~charged, *(~priced for priced in priced_elsewhere()), state=JobState.ESTIMATE)
    return found.order_by("opened_at", "pk").values_list("pk", "number")
