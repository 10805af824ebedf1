"""Open jobs that come to more than was agreed, or than was said to be likely: all of a shop in one question."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import NamedTuple

from billing.authorizations.limits import limit_of
from staff.queries import shop_profile
from web.rows import rows
from workorders.models import Job
from workorders.queries.jobs import OPEN_IN_SQL
from workorders.worth import worth_of_jobs

_MAYBE = f"""
    WITH standing AS (
        SELECT said.id, said.job_id, said.amount, said.is_ceiling, said.is_open, said.likely, said.said_at
        FROM workorders_job job JOIN authorizations_authorization said ON said.job_id = job.id
        WHERE job.state IN ({OPEN_IN_SQL}) AND said.withdrawn_at IS NULL
          AND (%(jobs)s::bigint[] IS NULL OR job.id = ANY(%(jobs)s::bigint[]))
          AND NOT EXISTS (SELECT FROM authorizations_authorization later WHERE later.job_id = said.job_id
                          AND later.id > said.id AND later.withdrawn_at IS NULL AND NOT later.adds)
    ), agreed AS (
        SELECT job_id, sum(amount) AS amount, bool_or(is_ceiling) AS is_ceiling, bool_or(is_open) AS is_open,
               max(id) AS last, max(id) FILTER (WHERE is_open) AS last_open,
               (array_agg(likely ORDER BY id DESC) FILTER (WHERE is_open))[1] AS likely,
               (array_agg(said_at ORDER BY id DESC) FILTER (WHERE is_open))[1] AS said_at
        FROM standing GROUP BY job_id
    ), taxed AS (
        SELECT exp(COALESCE(sum(percent), 0) / 100) AS times, count(*) AS many FROM taxes_taxrate
        WHERE ends_on IS NULL OR ends_on >= current_date - 1
    )
    SELECT agreed.*, job.customer_id, job.state, job.tax_percent, job.discount_percent, job.discount_amount,
           rules.tolerance_percent, rules.tolerance_amount,
           (SELECT went.up_to FROM authorizations_goingon went
            WHERE went.job_id = job.id AND went.after_id = agreed.last ORDER BY went.id DESC LIMIT 1) AS up_to
    FROM agreed JOIN workorders_job job ON job.id = agreed.job_id
    CROSS JOIN LATERAL (
        SELECT sum(GREATEST(round(quantity * unit_price, 2), round(quantity * unit_price), 0)) AS whole
        FROM workorders_charge WHERE job_id = agreed.job_id AND struck_at IS NULL
    ) charged
    CROSS JOIN taxed
    CROSS JOIN LATERAL (
        SELECT CASE WHEN job.tax_percent IS NULL THEN charged.whole * taxed.times + taxed.many
                    ELSE charged.whole * (1 + job.tax_percent / 100) + 1 END AS most,
               CASE WHEN agreed.is_open THEN agreed.likely ELSE agreed.amount END AS said
    ) against
    LEFT JOIN authorizations_authorizationrules rules ON rules.id = 1 AND NOT rules.nothing_on_top
    WHERE against.most > against.said
    ORDER BY against.most - against.said DESC, agreed.job_id LIMIT %(most)s
"""  # noqa: S608  (put together from what the program says)
"""Jobs of which the charges, without any discount and with every tax on all of them, come to more than was said.

Each charge and each tax is rounded up by as much as any currency rounds: what this leaves out is not past it.
"""


class _Maybe(NamedTuple):
    """What stands of a job's authorizations in all; ``likely`` and ``said_at`` are of the last one without a sum."""

    job_id: int
    amount: Decimal
    is_ceiling: bool
    is_open: bool
    last: int
    last_open: int | None
    likely: Decimal | None
    said_at: datetime | None
    customer_id: int
    state: str
    tax_percent: Decimal | None
    discount_percent: Decimal | None
    discount_amount: Decimal | None
    tolerance_percent: Decimal | None
    tolerance_amount: Decimal | None
    up_to: Decimal | None
    adds: bool = False

    @property
    def job(self) -> Job:
        """The job, with what the sum of its charges asks of it."""
        return Job(
            pk=self.job_id, customer_id=self.customer_id, state=self.state, tax_percent=self.tax_percent,
            discount_percent=self.discount_percent, discount_amount=self.discount_amount,
        )  # fmt: skip

    def past(self, total: Decimal, currency: str) -> Past | None:
        """By how much the job is past what was said; None where it is not, or the shop or a manager allows it."""
        if self.is_open:
            if self.likely is None or self.last_open is None or total <= self.likely:
                return None
            return Past(self.job_id, self.last_open, total, self.likely, currency, self.said_at)
        percent, amount = self.tolerance_percent, self.tolerance_amount
        limit = limit_of([self], percent=percent, amount=amount, up_to=self.up_to, currency=currency)
        if limit.sum is None or total <= limit.sum:
            return None
        return Past(self.job_id, self.last, total, self.amount, currency)


@dataclass(frozen=True)
class Past:
    """A job that comes to ``total``, which is more than what was ``said``, both with tax.

    ``said_at`` is when work without a ceiling was said to be likely to come to that; None where it was agreed.
    """

    job_id: int
    authorization_id: int
    total: Decimal
    said: Decimal
    currency: str
    said_at: datetime | None = None

    @property
    def by(self) -> Decimal:
        """How much more it is."""
        return self.total - self.said


def looked_at(jobs: Sequence[int] | None, most: int) -> list[_Maybe]:
    """Open jobs that may come to more than was said, so many of them, those by the most first."""
    asked = {"jobs": None if jobs is None else list(jobs), "most": most}
    return rows(_Maybe, _MAYBE, asked)


def past_of(found: Sequence[_Maybe]) -> list[Past]:
    """Those that do, in the order in which they were authorized."""
    if not found:
        return []
    currency = shop_profile().currency
    sums = worth_of_jobs([one.job for one in found], currency=currency)
    past = [one.past(sums[one.job_id], currency) for one in found]
    return sorted((one for one in past if one is not None), key=lambda one: one.authorization_id)
