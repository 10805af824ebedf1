"""What of floors above jobs is to be called about: estimates unanswered, sums gone past, promises at risk."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import NamedTuple

from django.db.models import Exists, F, OuterRef, Subquery
from django.utils import timezone

from billing.authorizations.models import Authorization, GoingOn
from billing.authorizations.past import Past, looked_at, past_of
from billing.authorizations.stopped import last_of_each, open_stops, still_open
from billing.estimates.models import Estimate
from shopfloor.week.promises import at_risk
from vessels.wording import date_words, day_words
from web.rows import rows_as_asked
from workorders.calls.asking import Ask, Scope, Source, counts_as_priced, register
from workorders.money import money_words
from workorders.queries.jobs import OPEN_STATES
from workorders.states import JobState

UNANSWERED_IN = [JobState.ESTIMATE.value, JobState.WAITING_CUSTOMER.value]


def register_reasons() -> None:
    """Make them known."""
    register(Source("estimate given", _unanswered, 10))
    register(Source("stopped charge", _stopped, 15))
    register(Source("gone past", _gone_past, 20))
    register(Source("past what was said", _past_what_was_said, 22))
    register(Source("promise at risk", _at_risk, 60))
    counts_as_priced(lambda: Exists(Estimate.objects.filter(job=OuterRef("pk"), given_at__isnull=False, total__gt=0)))
    counts_as_priced(lambda: Exists(Authorization.objects.filter(job=OuterRef("pk"), withdrawn_at=None, is_open=True)))


_UNANSWERED = """
    SELECT given.job_id AS job, given.revision, given.given_at, given.valid_until, given.total
    FROM workorders_job job JOIN estimates_estimate given ON given.job_id = job.id
    WHERE job.state = ANY(%(states)s) AND given.given_at IS NOT NULL
      AND (%(jobs)s::bigint[] IS NULL OR job.id = ANY(%(jobs)s::bigint[]))
      AND NOT EXISTS (SELECT FROM estimates_estimate later WHERE later.job_id = given.job_id
                      AND later.given_at IS NOT NULL AND later.revision > given.revision)
      AND NOT EXISTS (SELECT FROM authorizations_authorization answer WHERE answer.job_id = given.job_id
                      AND answer.withdrawn_at IS NULL AND answer.noted_at >= given.given_at)
    ORDER BY given.given_at, given.id LIMIT %(most)s
"""


class _Given(NamedTuple):
    job: int
    revision: int
    given_at: datetime
    valid_until: date
    total: Decimal


def _unanswered(scope: Scope) -> list[Ask]:
    """Estimates that were given, and to which nobody answered since."""
    jobs = None if scope.jobs is None else list(scope.jobs)
    asked = {"states": UNANSWERED_IN, "jobs": jobs, "most": scope.most + 1}
    today = timezone.localdate()
    told = []
    for one in scope.first(rows_as_asked(_Given, _UNANSWERED, asked), "estimates"):
        words = f"Estimate, version {one.revision}, was given on {day_words(one.given_at)}: no answer is noted."
        if one.valid_until < today:
            words += f" It was valid until {date_words(one.valid_until)}."
        told.append(Ask(one.job, f"estimate-{one.revision}", words, one.total, "estimate, with tax"))
    return told


def _stopped(scope: Scope) -> list[Ask]:
    """Charges that were stopped, as they would pass what was authorized, until somebody answers or lets them go."""
    found = scope.among(open_stops().filter(job__state__in=OPEN_STATES), "job").select_related("by")
    found = found.only("job_id", "description", "stopped_at", "after", "by__name").order_by("pk")
    told = []
    for one, count in last_of_each(still_open(scope.first(found, "stopped charges"))).values():
        others = f" {count - 1} more {'was' if count == 2 else 'were'} stopped before." if count > 1 else ""
        words = f"“{one.description}” was stopped on {day_words(one.stopped_at)}, entered by {one.by}: it would "
        words += f"have passed what was authorized. Ask for another word.{others}"
        told.append(Ask(one.job_id, f"stopped-{one.pk}", words, one.after, "it would come to, with tax"))
    return told


def _gone_past(scope: Scope) -> list[Ask]:
    """Jobs that a manager let go on past what was authorized, until the customer gives another word."""
    last = Authorization.objects.filter(job=OuterRef("job"), withdrawn_at=None).order_by("-pk").values("pk")[:1]
    found = scope.among(
        GoingOn.objects.filter(job__state__in=OPEN_STATES).annotate(last=Subquery(last)).filter(after=F("last")), "job"
    )
    told = {}
    found = found.select_related("noted_by").only("job_id", "noted_at", "up_to", "noted_by__name").order_by("pk")
    for one in scope.first(found, "gone past"):
        on = day_words(one.noted_at)
        words = f"{one.noted_by} let the work go on past what was authorized, on {on}. Ask for another word."
        told[one.job_id] = Ask(one.job_id, f"past-{one.pk}", words, one.up_to, "up to, with tax")
    return list(told.values())


def _past_what_was_said(scope: Scope) -> list[Ask]:
    """Work that comes to more than was agreed, or, at time and materials, than was said to be likely."""
    return [_past(one) for one in past_of(scope.first(looked_at(scope.jobs, scope.most + 1), "past what was said"))]


def _past(one: Past) -> Ask:
    if one.said_at is None:
        words = "The job comes to more than was agreed. Tell the customer, and ask for another word."
        return Ask(one.job_id, f"above-{one.authorization_id}", words, one.by, "above what was agreed, with tax")
    words = "The work is at time and materials, and comes to more than was said to be likely on "
    words += f"{day_words(one.said_at)}. Nothing stops it: tell the customer."
    sum_is = f"above the {money_words(one.said, one.currency)} that was said to be likely, with tax"
    return Ask(one.job_id, f"likely-{one.authorization_id}", words, one.by, sum_is)


def _at_risk(scope: Scope) -> list[Ask]:
    """Promised days that passed, or after which a part is expected: the customer should hear of it from the shop."""
    told = []
    found = at_risk(timezone.localdate(), scope.jobs, most=scope.most, with_hours=scope.with_hours)
    scope.cut.extend(["at risk"] if found.is_cut else [])
    for one in found.promises:
        words = f"Promised for {date_words(one.promised_on)}. {' '.join(one.reasons)}"
        told.append(Ask(one.job_id, f"promise-{one.promised_on}", words))
    return told
