"""Charges that were stopped and wait for the customer's word."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Protocol, TypeVar

from django.db.models import OuterRef, QuerySet, Subquery
from django.db.models.expressions import RawSQL

from billing.authorizations.limits import Limit
from billing.authorizations.models import StoppedCharge
from billing.authorizations.queries import limits_of_jobs
from workorders.models import Charge, Job
from workorders.money import money_words
from workorders.worth import worth_of_jobs


class Stopped(Protocol):
    """A stopped charge, or what a page read of it: its job, what that came to, and what it would have come to."""

    @property
    def job_id(self) -> int:
        """The job's key."""

    @property
    def before(self) -> Decimal:
        """What the job came to, with tax."""

    @property
    def after(self) -> Decimal:
        """What the job would have come to, with tax."""


S = TypeVar("S", bound=Stopped)


def _charged_since() -> QuerySet[Charge]:
    """Charges of the same words that went onto the job afterwards and count."""
    return Charge.objects.filter(
        job=OuterRef("job"), description__iexact=OuterRef("description"), added_at__gt=OuterRef("stopped_at"),
        struck_at=None,
    )  # fmt: skip


OPEN_STOPS = """
    SELECT stop.id FROM authorizations_stoppedcharge stop
    WHERE NOT EXISTS (SELECT FROM authorizations_authorization answer
                      WHERE answer.job_id = stop.job_id AND answer.noted_at > stop.stopped_at
                        AND answer.withdrawn_at IS NULL)
      AND NOT EXISTS (SELECT FROM authorizations_goingon word
                      WHERE word.job_id = stop.job_id AND word.noted_at > stop.stopped_at)
      AND NOT EXISTS (SELECT FROM workorders_charge charge
                      WHERE charge.job_id = stop.job_id AND upper(charge.description) = upper(stop.description)
                        AND charge.added_at > stop.stopped_at)
      AND NOT EXISTS (SELECT FROM authorizations_letgo gone WHERE gone.stopped_id = stop.id)
"""
"""Those that nobody answered since: no customer's word, no manager's, no charge, and they were not let go.

A charge that was made since settles them also where it was voided or credited afterwards: nothing stopped it. What
would go through today settles them, too: see ``still_open``.
"""


def open_stops() -> QuerySet[StoppedCharge]:
    """What ``OPEN_STOPS`` finds, for a question over some of them."""
    return StoppedCharge.objects.filter(pk__in=RawSQL(OPEN_STOPS, []))  # noqa: S611  (nothing typed is in it)


def still_open(found: Iterable[S]) -> list[S]:
    """Of ``open_stops`` those that would be stopped yet: the same few queries for any number, none where there is none.

    What it comes to today is what the job comes to today and what the charge would have added to it then.
    """
    stops = list(found)
    if not stops:
        return []
    limits = limits_of_jobs({one.job_id for one in stops})
    worth = worth_of_jobs(Job.objects.filter(pk__in=limits))
    return [one for one in stops if not _would_go_through(one, limits[one.job_id], worth[one.job_id])]


def _would_go_through(one: Stopped, limit: Limit, worth: Decimal) -> bool:
    return limit.is_open or (limit.sum is not None and worth + one.after - one.before <= limit.sum)


def with_answers(job: Job) -> list[StoppedCharge]:
    """All of a job, in order, each with ``is_open``, and ``charged_at`` when the same went onto the job afterwards."""
    since = Subquery(_charged_since().order_by("pk").values("added_at")[:1])
    rows = job.stopped_charges.select_related("by", "let_go__noted_by").annotate(charged_at=since).order_by("pk")
    open_now = {one.pk for one in still_open(open_stops().filter(job=job))}
    told: list[StoppedCharge] = list(rows)
    for one in told:
        one.is_open = one.pk in open_now  # type: ignore[attr-defined]
    return told


@dataclass(frozen=True)
class Stop:
    """What a stopped charge would have made of the job."""

    description: str
    before: Decimal
    after: Decimal
    limit: Decimal
    with_it: str = ""

    @property
    def beyond(self) -> Decimal:
        """How far past the sum at which charges stop."""
        return self.after - self.limit

    @property
    def title(self) -> str:
        """What was stopped, with the other charges of its act."""
        return f"“{self.description}” was stopped{f', and with it {self.with_it}' if self.with_it else ''}."

    def words(self, currency: str) -> str:
        """The same in a sentence, with its sums."""
        before, after, limit = (money_words(one, currency) for one in (self.before, self.after, self.limit))
        return (
            f"{self.title} The job stood at {before} and would have come to {after} with tax, "
            f"{money_words(self.beyond, currency)} past the {limit} at which charges stop."
        )


def stop_of(row: StoppedCharge) -> Stop:
    """The sums of a row."""
    return Stop(row.description, row.before, row.after, row.limit, row.with_it)


def last_of_each(found: Sequence[S]) -> dict[int, tuple[S, int]]:
    """By job the last one, and how many there are."""
    told: dict[int, tuple[S, int]] = {}
    for one in found:
        told[one.job_id] = (one, told[one.job_id][1] + 1 if one.job_id in told else 1)
    return told
