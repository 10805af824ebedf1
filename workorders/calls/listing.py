"""The call list: a row for each job with questions, those that nobody called about lately first, a page at a time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from typing import NamedTuple

from django.utils import timezone

from vessels.models.hulls import vessel_words
from vessels.phones import to_call
from web.rows import rows
from workorders.calls.asking import CHARGED, Ask, Scope, asks, priced_elsewhere
from workorders.models import Job
from workorders.queries.jobs import OPEN_IN_SQL
from workorders.states import JobState
from workorders.worth import worth_of_jobs

FEW = 10
PAGE_SIZE = 20
RELIEVES = "moved-"
"""Keys of what is told once: a call that was noted after it settles it."""
NOW, LATER, UNPRICED = "now", "later", "unpriced"


class CalledAbout(NamedTuple):
    """What is told of a job to call about: its boat, whose it is and where they are reached."""

    pk: int
    number: int
    state: str
    opened_at: datetime
    vessel_id: int
    name: str
    maker: str
    model: str
    customer: str
    contact: str
    numbers: Sequence[str]
    dialed: Sequence[str]
    customer_id: int
    tax_percent: Decimal | None
    tax_on_labor: bool
    discount_percent: Decimal | None
    discount_amount: Decimal | None

    @property
    def vessel(self) -> str:
        """How the boat is called."""
        return vessel_words(self.name, self.maker, self.model, self.vessel_id)

    @property
    def phones(self) -> list[tuple[str, str]]:
        """Where the customer is reached: what a link of each number dials, and the number."""
        return [(to_call(number, digits), number) for number, digits in zip(self.numbers, self.dialed, strict=True)]

    @property
    def summed(self) -> Job:
        """The job, with what the sum of its charges asks of it."""
        return Job(
            pk=self.pk, state=self.state, customer_id=self.customer_id, tax_percent=self.tax_percent,
            tax_on_labor=self.tax_on_labor, discount_percent=self.discount_percent,
            discount_amount=self.discount_amount,
        )  # fmt: skip


class LastCall(NamedTuple):
    """The last call about a job; ``about`` are the keys of what was asked then."""

    job: int
    who: str
    said: str
    again_on: date | None
    about: Sequence[str]
    at: datetime
    by: str


@dataclass(frozen=True)
class Row:
    """A job to call about."""

    job: CalledAbout
    asks: Sequence[Ask]
    last: LastCall | None
    rests_until: date | None = None

    @property
    def sums(self) -> list[tuple[str, Decimal]]:
        """The sums that it is about, each with what it is; for those who see prices."""
        return [(ask.sum_is, ask.sum) for ask in self.asks if ask.sum is not None]


@dataclass(frozen=True)
class Listed:
    """A place in the list, of which nothing is shown yet: a job by its key, in one of the three parts."""

    part: str
    key: int
    asks: Sequence[Ask] = ()
    last: LastCall | None = None
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
    unpriced: Sequence[CalledAbout]
    counts: dict[str, int]
    is_cut: bool = False
    after: str = ""
    """Where the next page begins; empty where nothing follows."""
    is_first: bool = True

    @property
    def left_out(self) -> int:
        """How many more there are than are shown."""
        return sum(self.counts.values()) - len(self.now) - len(self.later) - len(self.unpriced)


_SHOWN = f"""
    SELECT job.id AS pk, job.number, job.state, job.opened_at, job.vessel_id, vessel.name, vessel.maker, vessel.model,
           customer.name AS customer, customer.contact, phones.numbers, phones.dialed,
           job.customer_id, job.tax_percent, job.tax_on_labor, job.discount_percent, job.discount_amount
    FROM workorders_job job JOIN vessels_vessel vessel ON vessel.id = job.vessel_id
    JOIN vessels_customer customer ON customer.id = job.customer_id
    CROSS JOIN LATERAL (SELECT COALESCE(array_agg(number ORDER BY position, id), '{{}}') AS numbers,
                               COALESCE(array_agg(digits ORDER BY position, id), '{{}}') AS dialed
                        FROM vessels_customerphone WHERE customer_id = customer.id) phones
    WHERE job.id = ANY(%(jobs)s::bigint[]) AND job.state IN ({OPEN_IN_SQL})
"""  # noqa: S608


def first_calls(few: int = FEW, *, currency: str = "") -> CallList:
    """The beginning of each part of it."""
    listing = Listing.read()
    return listing.shown([one for part in listing.parts for one in part[:few]], currency)


def page_of_calls(after: str, *, currency: str = "", size: int = PAGE_SIZE) -> CallList:
    """What follows the row that ``after`` names, ``size`` rows of it; the beginning where there is no such row."""
    listing = Listing.read()
    places = listing.rows
    place = next((place for place, one in enumerate(places, 1) if one.cursor == after), 0)
    page = places[place : place + size]
    following = page[-1].cursor if len(places) > place + size else ""
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
        unpriced = [Listed(UNPRICED, one.pk) for one in scope.first(_unpriced(scope), "unpriced")]
        return cls((now, later, unpriced), bool(scope.cut))

    @property
    def rows(self) -> list[Listed]:
        """Its parts, one after the other."""
        return [one for part in self.parts for one in part]

    def shown(self, places: Sequence[Listed], currency: str = "") -> CallList:
        """Some of its places with what their rows show; a job that was closed in the meantime is left out.

        The shop's currency is looked up where it is not said.
        """
        known = {one.pk: one for one in rows(CalledAbout, _SHOWN, {"jobs": [one.key for one in places]})}
        shown: dict[str, list[Row]] = {NOW: [], LATER: [], UNPRICED: []}
        charged = [known[one.key].summed for one in places if one.is_about_charges and one.key in known]
        sums = worth_of_jobs(charged, currency=currency)
        for one in places:
            if one.key in known:
                its = [replace(ask, sum=sums.get(one.key)) if ask.sum_is == CHARGED else ask for ask in one.asks]
                shown[one.part].append(Row(known[one.key], its, one.last, one.rests_until))
        counts = dict(zip(shown, map(len, self.parts), strict=True))
        unpriced = [row.job for row in shown[UNPRICED]]
        return CallList(shown[NOW], shown[LATER], unpriced, counts, self.is_cut)


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


_LAST_CALLS = f"""
    SELECT job.id AS job, last.who, last.said, last.again_on,
           ARRAY(SELECT jsonb_array_elements_text(last.about)) AS about, last.at, person.name AS by
    FROM workorders_job job
    CROSS JOIN LATERAL (SELECT who, said, again_on, about, at, by_id FROM calls_call WHERE job_id = job.id
                        ORDER BY at DESC, id DESC LIMIT 1) last
    JOIN staff_person person ON person.id = last.by_id
    WHERE job.state IN ({OPEN_IN_SQL})
"""  # noqa: S608  (put together from what the program says)


def _last_calls() -> dict[int, LastCall]:
    """The last call about each open job."""
    return {call.job: call for call in rows(LastCall, _LAST_CALLS, {})}


def _rests_until(call: LastCall | None, its: Sequence[Ask], today: date) -> date | None:
    """Until when nobody calls again: the day that was said, or the next one; None where something new is asked."""
    if call is None or {ask.key for ask in its} - set(call.about):
        return None
    if call.again_on is not None:
        return call.again_on if call.again_on > today else None
    return today if timezone.localdate(call.at) == today else None


class _Key(NamedTuple):
    pk: int


_UNPRICED = f"""
    SELECT job.id AS pk FROM workorders_job job
    WHERE job.state = '{JobState.ESTIMATE}'
      AND NOT EXISTS (SELECT FROM workorders_charge charge
                      WHERE charge.job_id = job.id AND charge.struck_at IS NULL AND charge.unit_price > 0)
      AND NOT ({{elsewhere}})
    ORDER BY job.opened_at, job.id LIMIT %(most)s
"""  # noqa: S608


def _unpriced(scope: Scope) -> list[_Key]:
    """Jobs at the estimate for which nothing is priced yet: before anybody can call, somebody has to price them."""
    return rows(_Key, _UNPRICED.format(elsewhere=" OR ".join(["FALSE", *priced_elsewhere()])), {"most": scope.most + 1})
