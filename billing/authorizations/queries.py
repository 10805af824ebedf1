"""What is asked about authorizations."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import NamedTuple
from zoneinfo import ZoneInfo

from django.db.models import Q
from django.utils import timezone

from billing.authorizations.limits import Limit, limit_of
from billing.authorizations.models import Authorization, AuthorizationRules, GoingOn
from staff.models import ShopProfile
from staff.queries import shop_profile
from web.rows import rows
from workorders.models import Job
from workorders.worth import worth_of_jobs


@dataclass(frozen=True)
class Standing:
    """Where a job stands: what limits it, what it comes to now, and the last word of the customer."""

    limit: Limit
    total: Decimal
    last: Authorization | None
    going_on: GoingOn | None
    currency: str
    said_on: date | None = None
    """The day of the last word by the shop's calendar."""
    is_withdrawn: bool = False
    """Whether something was authorized, and none of it stands."""
    likely: Decimal | None = None
    """What work without a ceiling was said to come to; it stops nothing."""

    @property
    def is_past_the_likely(self) -> bool:
        """Whether the job comes to more than work without a ceiling was said to come to."""
        return self.likely is not None and self.total > self.likely

    @property
    def left(self) -> Decimal | None:
        """What may still be charged; below zero where charges went past it."""
        return None if self.limit.sum is None else self.limit.sum - self.total

    @property
    def past(self) -> Decimal:
        """How much more the job comes to than may be charged; zero where it does not."""
        return max(-(self.left or Decimal(0)), Decimal(0))


def rules() -> AuthorizationRules:
    """The shop's rules; made when first asked for, with nothing allowed on top."""
    found, _ = AuthorizationRules.objects.get_or_create(pk=1)
    return found


def authorizations_of(job: Job) -> list[Authorization]:
    """Everything that was authorized, in the order in which it was noted."""
    noted = job.authorizations.select_related("noted_by", "withdrawn_by", "line").prefetch_related("pieces")
    return list(noted.order_by("pk"))


def agreed_of(job: Job) -> list[Authorization]:
    """What was authorized and stands, in the order in which it was noted."""
    return list(job.authorizations.filter(withdrawn_at=None).order_by("pk"))


class _Tolerance(NamedTuple):
    percent: Decimal | None
    amount: Decimal | None


_TOLERANCE = """
    SELECT tolerance_percent AS percent, tolerance_amount AS amount FROM authorizations_authorizationrules
    WHERE id = 1 AND NOT nothing_on_top
"""


def tolerance() -> tuple[Decimal | None, Decimal | None]:
    """What the shop allows on top: a percentage and a sum."""
    found = rows(_Tolerance, _TOLERANCE, {})
    return (found[0].percent, found[0].amount) if found else (None, None)


def standing_of(job: Job, shop: ShopProfile | None = None, *, total: Decimal | None = None) -> Standing:
    """Where a job stands now; the shop's profile, and what the job comes to, are read where the caller has none."""
    shop = shop or shop_profile()
    currency, zone = shop.currency, ZoneInfo(shop.time_zone)
    every = authorizations_of(job)
    agreed = [one for one in every if one.withdrawn_at is None]
    if total is None:
        total = worth_of_jobs([job], today=timezone.localdate(timezone=zone), currency=currency)[job.pk]
    if not agreed:
        return Standing(Limit(None, Decimal(0), None), total, None, None, currency, is_withdrawn=bool(every))
    # A manager's word holds until the customer has given another one.
    going_on = job.goings_on.filter(after=agreed[-1]).select_related("noted_by").order_by("-pk").first()
    percent, amount = tolerance()
    limit = limit_of(
        agreed,
        percent=percent,
        amount=amount,
        up_to=going_on.up_to if going_on is not None else None,
        currency=currency,
    )
    said_on = timezone.localdate(agreed[-1].said_at, zone)
    likely = next((one.likely for one in reversed(agreed) if one.is_open), None) if limit.is_open else None
    return Standing(limit, total, agreed[-1], going_on, currency, said_on, likely=likely)


def limits_of_jobs(jobs: Collection[int]) -> dict[int, Limit]:
    """Where the charges of several jobs stop, by their keys."""
    agreed: dict[int, list[Authorization]] = {one: [] for one in jobs}
    for one in Authorization.objects.filter(job__in=jobs, withdrawn_at=None).order_by("pk"):
        agreed[one.job_id].append(one)
    lasts = [every[-1].pk for every in agreed.values() if every]
    up_to = dict(GoingOn.objects.filter(after__in=lasts).order_by("pk").values_list("job_id", "up_to"))
    percent, amount = tolerance()
    currency = shop_profile().currency
    return {
        job: limit_of(every, percent=percent, amount=amount, up_to=up_to.get(job), currency=currency)
        for job, every in agreed.items()
    }


def says_what_it_costs(job: Job) -> bool:
    """Whether the customer authorized a sum of more than nothing, or work at time and materials."""
    stands = job.authorizations.filter(withdrawn_at=None)
    return stands.filter(Q(amount__gt=0) | Q(is_open=True)).exists()
