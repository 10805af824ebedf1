"""Charges that were stopped and wait for the customer's word."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Exists, OuterRef, QuerySet

from billing.authorizations.models import Authorization, GoingOn, StoppedCharge
from workorders.models import Job
from workorders.money import money_words


def open_stops() -> QuerySet[StoppedCharge]:
    """Those that nobody answered since: no customer's word, no manager's, and they were not let go."""
    later = {"job": OuterRef("job"), "noted_at__gt": OuterRef("stopped_at")}
    answered = Authorization.objects.filter(**later, withdrawn_at=None)
    return StoppedCharge.objects.filter(~Exists(answered), ~Exists(GoingOn.objects.filter(**later)), let_go=None)


def with_answers(job: Job) -> list[StoppedCharge]:
    """All of a job, in order, each with ``is_open``."""
    is_open = Exists(open_stops().filter(pk=OuterRef("pk")))
    return list(job.stopped_charges.select_related("by", "let_go__noted_by").annotate(is_open=is_open).order_by("pk"))


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
            f"“{self.description}” was not charged. The job stood at {before} and would have come to {after} with tax, "
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
