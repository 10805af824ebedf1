"""Charges that were stopped and wait for the customer's word."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Exists, OuterRef, QuerySet, Subquery

from billing.authorizations.limits import Limit
from billing.authorizations.models import Authorization, GoingOn, StoppedCharge
from billing.authorizations.queries import limits_of_jobs
from workorders.models import Charge, Job
from workorders.money import money_words


def _charged_since() -> QuerySet[Charge]:
    """Charges of the same words that went onto the job afterwards and count."""
    return Charge.objects.filter(
        job=OuterRef("job"), description__iexact=OuterRef("description"), added_at__gt=OuterRef("stopped_at"),
        struck_at=None,
    )  # fmt: skip


def open_stops() -> QuerySet[StoppedCharge]:
    """Those that nobody answered since: no customer's word, no manager's, no charge, and they were not let go.

    A sum that was raised past them settles them, too: see ``still_open``.
    """
    later = {"job": OuterRef("job"), "noted_at__gt": OuterRef("stopped_at")}
    answered = Authorization.objects.filter(**later, withdrawn_at=None)
    return StoppedCharge.objects.filter(
        ~Exists(answered), ~Exists(GoingOn.objects.filter(**later)), ~Exists(_charged_since()), let_go=None
    )


def still_open(found: Iterable[StoppedCharge]) -> list[StoppedCharge]:
    """Of ``open_stops`` those that would be stopped yet: three queries for all of them, none where there are none."""
    stops = list(found)
    limits = limits_of_jobs({one.job_id for one in stops}) if stops else {}
    return [one for one in stops if not _would_go_through(one, limits[one.job_id])]


def _would_go_through(one: StoppedCharge, limit: Limit) -> bool:
    return limit.is_open or (limit.sum is not None and one.after <= limit.sum)


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

    @property
    def beyond(self) -> Decimal:
        """How far past the sum at which charges stop."""
        return self.after - self.limit

    def words(self, currency: str) -> str:
        """The same in a sentence, with its sums."""
        before, after, limit = (money_words(one, currency) for one in (self.before, self.after, self.limit))
        return (
            f"“{self.description}” was stopped. The job stood at {before} and would have come to {after} with tax, "
            f"{money_words(self.beyond, currency)} past the {limit} at which charges stop."
        )


def stop_of(row: StoppedCharge) -> Stop:
    """The sums of a row."""
    return Stop(row.description, row.before, row.after, row.limit)


def last_of_each(found: Sequence[StoppedCharge]) -> dict[int, tuple[StoppedCharge, int]]:
    """By job the last one, and how many there are."""
    told: dict[int, tuple[StoppedCharge, int]] = {}
    for one in found:
        told[one.job_id] = (one, told[one.job_id][1] + 1 if one.job_id in told else 1)
    return told
