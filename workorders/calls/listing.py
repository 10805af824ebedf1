"""The call list: a row for each job with questions, those that nobody called about lately first, a page at a time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from django.db.models import Exists, OuterRef, QuerySet
from django.utils import timezone

from workorders.calls.asking import CHARGED, Ask, Scope, asks, priced_elsewhere
from workorders.calls.models import Call
from workorders.models import Charge, Job
from workorders.queries.jobs import OPEN_STATES, ROW
from workorders.states import JobState
from workorders.worth import with_frozen, worth_of_jobs

FEW = 10
PAGE_SIZE = 20
_SHOWN = [*(name for name in ROW if not name.startswith("technician")), "customer__contact"]
"""What is read of a job for its row, and no more."""
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
    """A place in the list, of which nothing is shown yet: a job by its key, in one of the three parts."""

    part: str
    key: int
    asks: Sequence[Ask] = ()
    last: Call | None = None
    rests_until: date | None = None

    @property
    def is_about_charges(self) -> bool:
        """Whether it tells what the job's charges come to."""
        return any(ask.sum_is == CHARGED for ask in self.asks)

    @property
    def cursor(self) -> str:
        """How an address names it."""
        return f"{self.part}-{self.key}"


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


def first_calls(few: int = FEW, *, currency: str = "") -> CallList:
    """The beginning of each part of it."""
    listing = Listing.read()
    return listing.shown([one for part in listing.parts for one in part[:few]], currency)


def page_of_calls(after: str, *, currency: str = "", size: int = PAGE_SIZE) -> CallList:
    """What follows the row that ``after`` names, ``size`` rows of it; the beginning where there is no such row."""
    listing = Listing.read()
    rows = listing.rows
    place = next((place for place, one in enumerate(rows, 1) if one.cursor == after), 0)
    page = rows[place : place + size]
    following = page[-1].cursor if len(rows) > place + size else ""
    return replace(listing.shown(page, currency), after=following, is_first=not place)


@dataclass(frozen=True)
class Listing:
    """Every place of the list in order, as far as it is looked at; ``is_cut`` where there was more."""

    parts: tuple[Sequence[Listed], Sequence[Listed], Sequence[Listed]]
    is_cut: bool

    @classmethod
    def read(cls) -> Listing:
        """All of it, without what its rows show."""
        scope = Scope()
        now, later = _to_call(scope)
        unpriced = [Listed(UNPRICED, key) for key in scope.first(_unpriced(), "unpriced")]
        return cls((now, later, unpriced), bool(scope.cut))

    @property
    def rows(self) -> list[Listed]:
        """Its parts, one after the other."""
        return [one for part in self.parts for one in part]

    def shown(self, places: Sequence[Listed], currency: str = "") -> CallList:
        """Some of its places with what their rows show; a job that was closed in the meantime is left out.

        The shop's currency is looked up where it is not said.
        """
        jobs = Job.objects.filter(state__in=OPEN_STATES).select_related("vessel", "customer")
        jobs = with_frozen(jobs.only(*_SHOWN))
        known = jobs.prefetch_related("customer__phones").in_bulk({one.key for one in places})
        rows: dict[str, list[Row]] = {NOW: [], LATER: [], UNPRICED: []}
        charged = [known[one.key] for one in places if one.is_about_charges and one.key in known]
        sums = worth_of_jobs(charged, currency=currency)
        for one in places:
            if one.key in known:
                its = [replace(ask, sum=sums.get(one.key)) if ask.sum_is == CHARGED else ask for ask in one.asks]
                rows[one.part].append(Row(known[one.key], its, one.last, one.rests_until))
        counts = dict(zip(rows, map(len, self.parts), strict=True))
        unpriced = [row.job for row in rows[UNPRICED]]
        return CallList(rows[NOW], rows[LATER], unpriced, counts, self.is_cut)


def _to_call(scope: Scope) -> tuple[list[Listed], list[Listed]]:
    """Whom to call now, and whom later."""
    by_job: dict[int, list[Ask]] = {}
    for ask in asks(scope):
        by_job.setdefault(ask.job_id, []).append(ask)
    last = _last_calls()
    today = timezone.localdate()
    now: list[Listed] = []
    later: list[Listed] = []
    for key, asked in by_job.items():
        call = last.get(key)
        its = [
            ask for ask in asked if not (ask.key.startswith(RELIEVES) and call is not None and ask.key in call.about)
        ]
        if not its:
            continue
        until = _rests_until(call, its, today)
        if until is None:
            now.append(Listed(NOW, key, its, call))
        else:
            later.append(Listed(LATER, key, its, call, until))
    later.sort(key=lambda one: (one.rests_until or today, one.key))
    return now, later


def _last_calls() -> dict[int, Call]:
    """The last call about each open job: named one by one, jobs by the hundred took longer to send than to find."""
    found = Call.objects.filter(job__state__in=OPEN_STATES).select_related("by")
    found = found.only("job_id", "who", "said", "again_on", "about", "at", "by__name")
    return {call.job_id: call for call in found.order_by("job_id", "-at", "-pk").distinct("job_id")}


def _rests_until(call: Call | None, its: Sequence[Ask], today: date) -> date | None:
    """Until when nobody calls again: the day that was said, or the next one; None where something new is asked."""
    if call is None or {ask.key for ask in its} - set(call.about):
        return None
    if call.again_on is not None:
        return call.again_on if call.again_on > today else None
    return today if timezone.localdate(call.at) == today else None


def _unpriced() -> QuerySet[Job, int]:
    """Jobs at the estimate for which nothing is priced yet: before anybody can call, somebody has to price them."""
    charged = Exists(Charge.objects.filter(job=OuterRef("pk"), struck_at=None, unit_price__gt=0))
    found = Job.objects.filter(~charged, *(~priced for priced in priced_elsewhere()), state=JobState.ESTIMATE)
    return found.order_by("opened_at", "pk").values_list("pk", flat=True)
