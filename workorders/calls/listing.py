"""The call list: a row for each job with questions, those that nobody called about lately first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Exists, OuterRef
from django.utils import timezone

from workorders.calls.asking import EVERYTHING, Ask, Which, asks, priced_elsewhere
from workorders.calls.models import Call
from workorders.models import Charge, Job
from workorders.queries.jobs import OPEN_STATES
from workorders.states import JobState

FEW = 10
RELIEVES = "moved-"
"""Keys of what is told once: a call that was noted after it settles it."""


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
class CallList:
    """Whom to call now, whom later, and what has no price yet."""

    now: Sequence[Row]
    later: Sequence[Row]
    unpriced: Sequence[Job]
    left_out: int = 0

    def first(self, few: int = FEW) -> CallList:
        """The beginning of it."""
        shown = CallList(self.now[:few], self.later[:few], self.unpriced[:few])
        left_out = self.length - shown.length
        return CallList(shown.now, shown.later, shown.unpriced, left_out)

    @property
    def length(self) -> int:
        """How many rows there are."""
        return len(self.now) + len(self.later) + len(self.unpriced)


def call_list(which: Which = EVERYTHING) -> CallList:
    """The whole list, or its beginning, in a fixed number of queries."""
    by_job: dict[int, list[Ask]] = {}
    for ask in asks(which):
        by_job.setdefault(ask.job_id, []).append(ask)
    last = _last_calls(list(by_job))
    jobs = Job.objects.filter(pk__in=by_job, state__in=OPEN_STATES).select_related("vessel", "customer", "technician")
    known = jobs.prefetch_related("customer__phones").in_bulk()
    today = timezone.localdate()
    now: list[Row] = []
    later: list[Row] = []
    for key, asked in by_job.items():
        call, job = last.get(key), known.get(key)
        its = [
            ask for ask in asked if not (ask.key.startswith(RELIEVES) and call is not None and ask.key in call.about)
        ]
        if job is None or not its:
            continue
        until = _rests_until(call, its, today)
        (now if until is None else later).append(Row(job, its, call, until))
    later.sort(key=lambda row: (row.rests_until or today, row.job.number))
    return CallList(now, later, unpriced_estimates(which.most))


def _last_calls(jobs: Sequence[int]) -> dict[int, Call]:
    found = Call.objects.filter(job__in=jobs).select_related("by").order_by("job_id", "-at", "-pk").distinct("job_id")
    return {call.job_id: call for call in found}


def _rests_until(call: Call | None, its: Sequence[Ask], today: date) -> date | None:
    """Until when nobody calls again: the day that was said, or the next one; None where something new is asked."""
    if call is None or {ask.key for ask in its} - set(call.about):
        return None
    if call.again_on is not None:
        return call.again_on if call.again_on > today else None
    return today if timezone.localdate(call.at) == today else None


def unpriced_estimates(most: int) -> list[Job]:
    """Jobs at the estimate for which nothing is priced yet: before anybody can call, somebody has to price them."""
    charged = Exists(Charge.objects.filter(job=OuterRef("pk"), struck_at=None, unit_price__gt=0))
    found = Job.objects.filter(~charged, *(~priced for priced in priced_elsewhere()), state=JobState.ESTIMATE)
    return list(found.select_related("vessel", "customer").order_by("opened_at", "pk")[:most])
