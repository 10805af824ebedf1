"""Estimates that wait for an answer, and jobs that wait for an estimate.

Open is the latest version that was given of a job that has not ended, where no answer (an authorization, also one that
declines) was noted since it was given and not withdrawn, and the job was not moved to authorized since, nor invoiced
with all that is charged on it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from billing.figures.period import Period
from web.rows import rows_as_asked
from workorders.states import OPEN

AGES = ("Up to 7 days", "8–14 days", "15–30 days", "Over 30 days", "None given yet")
UNPRICED = len(AGES) - 1

_OPEN = """
WITH given AS (
    SELECT DISTINCT ON (e.job_id) e.job_id, e.revision, e.given_at, e.valid_until, e.total
    FROM workorders_job j JOIN estimates_estimate e ON e.job_id = j.id
    WHERE j.state = ANY(%(open)s) AND e.given_at IS NOT NULL
    ORDER BY e.job_id, e.revision DESC
), open AS (
    SELECT g.job_id, g.revision, g.given_at AS since, g.valid_until, g.total,
           (g.given_at AT TIME ZONE %(zone)s)::date AS day
    FROM given g
    WHERE NOT EXISTS (SELECT FROM authorizations_authorization a
                      WHERE a.job_id = g.job_id AND a.withdrawn_at IS NULL AND a.noted_at >= g.given_at)
      AND NOT EXISTS (SELECT FROM vessels_logentry l JOIN workorders_jobmove m ON m.entry_id = l.id
                      WHERE l.job_id = g.job_id AND l.recorded_at >= g.given_at AND m.to_state = 'authorized')
      AND NOT (EXISTS (SELECT FROM workorders_charge c JOIN invoices_invoicedcharge i ON i.charge_id = c.id
                       JOIN invoices_invoice v ON v.id = i.invoice_id
                       WHERE c.job_id = g.job_id AND c.struck_at IS NULL AND v.made_at >= g.given_at)
               AND NOT EXISTS (SELECT FROM workorders_charge c WHERE c.job_id = g.job_id AND c.struck_at IS NULL
                               AND NOT EXISTS (SELECT FROM invoices_invoicedcharge i WHERE i.charge_id = c.id)))
    UNION ALL
    SELECT j.id, NULL, j.opened_at, NULL, NULL, (j.opened_at AT TIME ZONE %(zone)s)::date
    FROM workorders_job j
    WHERE j.state = 'estimate' AND NOT EXISTS (SELECT FROM given g WHERE g.job_id = j.id)
), aged AS (
    SELECT *, (%(today)s::date - day) AS days,
           CASE WHEN revision IS NULL THEN 4 WHEN %(today)s::date - day <= 7 THEN 0
                WHEN %(today)s::date - day <= 14 THEN 1 WHEN %(today)s::date - day <= 30 THEN 2 ELSE 3 END AS age
    FROM open
)
"""


@dataclass(frozen=True, kw_only=True)
class Aged:
    """Estimates of one age: how many, what they come to, and how many of them are past their last day."""

    age: int
    estimates: int
    total: Decimal
    run_out: int
    oldest: int


@dataclass(frozen=True, kw_only=True)
class OpenEstimate:
    """One of them; ``revision`` is None where none was given."""

    job: int
    vessel: str
    customer: str
    customer_id: int
    revision: int | None
    since: datetime
    days: int
    valid_until: date | None
    total: Decimal | None


def open_estimates(period: Period) -> Sequence[Aged]:
    """As of today, by age: one query."""
    return rows_as_asked(Aged, f"{_OPEN}{_BY_AGE}", _asked(period))


def estimates_behind(period: Period, start: int, most: int | None) -> list[OpenEstimate]:
    """Each of them, the oldest first; one more than ``most`` where there are."""
    page = {"start": start, "most": None if most is None else most + 1}
    return rows_as_asked(OpenEstimate, f"{_OPEN}{_BEHIND}", _asked(period) | page)


def _asked(period: Period) -> dict[str, object]:
    return {"open": [state.value for state in OPEN], "zone": period.zone.key, "today": period.today}


_BY_AGE = """
SELECT age, count(*)::int AS estimates, coalesce(sum(total), 0) AS total,
       count(*) FILTER (WHERE valid_until < %(today)s)::int AS run_out, max(days) AS oldest
FROM aged GROUP BY age ORDER BY age
"""
_BEHIND = """
SELECT j.number AS job, v.name AS vessel, c.name AS customer, c.id AS customer_id, a.revision, a.since, a.days,
       a.valid_until, a.total
FROM aged a
JOIN workorders_job j ON j.id = a.job_id
JOIN vessels_vessel v ON v.id = j.vessel_id
JOIN vessels_customer c ON c.id = j.customer_id
ORDER BY a.days DESC, j.number OFFSET %(start)s LIMIT %(most)s::bigint
"""
