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
from workorders.calls.asking import CHARGED, Ask, Scope, Source, counts_as_priced, register
from workorders.money import money_words
from workorders.queries.jobs import OPEN_STATES
from workorders.states import JobState

UNANSWERED_IN = [JobState.ESTIMATE.value, JobState.WAITING_CUSTOMER.value]


def register_reasons() -> None:
    """Make them known."""
    register(Source("no word of the customer", _without_a_word, 10))
    register(Source("stopped charge", _stopped, 15))
    register(Source("gone past", _gone_past, 20))
    register(Source("past what was said", _past_what_was_said, 22))
    register(Source("promise at risk", _at_risk, 60))
    counts_as_priced(lambda: Exists(Estimate.objects.filter(job=OuterRef("pk"), given_at__isnull=False, total__gt=0)))
    counts_as_priced(lambda: Exists(Authorization.objects.filter(job=OuterRef("pk"), withdrawn_at=None, is_open=True)))


_WITHOUT_A_WORD = """
    (SELECT 'given' AS kind, given.job_id AS job, given.revision AS key, given.given_at AS at, 1 AS many,
            given.valid_until, given.total,
            (SELECT max(answer.withdrawn_at) FROM authorizations_authorization answer
             WHERE answer.job_id = given.job_id AND answer.noted_at >= given.given_at) AS withdrawn_at
     FROM workorders_job job JOIN estimates_estimate given ON given.job_id = job.id
     WHERE job.state = ANY(%(undecided)s) AND given.given_at IS NOT NULL
       AND (%(jobs)s::bigint[] IS NULL OR job.id = ANY(%(jobs)s::bigint[]))
       AND NOT EXISTS (SELECT FROM estimates_estimate later WHERE later.job_id = given.job_id
                       AND later.given_at IS NOT NULL AND later.revision > given.revision)
       AND NOT EXISTS (SELECT FROM authorizations_authorization answer WHERE answer.job_id = given.job_id
                       AND answer.withdrawn_at IS NULL AND answer.noted_at >= given.given_at)
     ORDER BY given.given_at, given.id LIMIT %(most)s)
    UNION ALL
    (SELECT 'withdrawn', said.job_id, max(said.id), max(said.withdrawn_at), count(*), NULL, NULL, max(said.withdrawn_at)
     FROM workorders_job job JOIN authorizations_authorization said ON said.job_id = job.id
     WHERE job.state = ANY(%(open)s) AND (%(jobs)s::bigint[] IS NULL OR job.id = ANY(%(jobs)s::bigint[]))
       AND (job.state <> ALL(%(undecided)s) OR NOT EXISTS (SELECT FROM estimates_estimate given
            WHERE given.job_id = job.id AND given.given_at IS NOT NULL))
       AND (job.state <> 'estimate' OR EXISTS (SELECT FROM workorders_charge charge WHERE charge.job_id = job.id
            AND charge.struck_at IS NULL AND charge.unit_price > 0))
     GROUP BY said.job_id HAVING bool_and(said.withdrawn_at IS NOT NULL)
     ORDER BY max(said.withdrawn_at), said.job_id LIMIT %(most)s)
"""
"""Estimates that were given and not answered, and jobs of which nothing that was authorized stands: in one question.

A job whose estimate is asked about is not asked about twice, and one on which nothing is priced has to be priced first.
"""


class _WithoutAWord(NamedTuple):
    kind: str
    job: int
    key: int
    at: datetime
    many: int
    valid_until: date | None
    total: Decimal | None
    withdrawn_at: datetime | None


def _without_a_word(scope: Scope) -> list[Ask]:
    """Estimates to which nobody answered since they were given, and jobs whose every authorization was withdrawn."""
    jobs = None if scope.jobs is None else list(scope.jobs)
    asked = {"undecided": UNANSWERED_IN, "open": OPEN_STATES, "jobs": jobs, "most": scope.most + 1}
    found = rows_as_asked(_WithoutAWord, _WITHOUT_A_WORD, asked)
    today = timezone.localdate()
    given = scope.first([one for one in found if one.kind == "given"], "estimates")
    withdrawn = scope.first([one for one in found if one.kind == "withdrawn"], "withdrawn")
    return [*(_unanswered(one, today) for one in given), *(_withdrawn(one) for one in withdrawn)]


def _unanswered(one: _WithoutAWord, today: date) -> Ask:
    words = f"Estimate, version {one.key}, was given on {day_words(one.at)}: no answer is noted."
    if one.withdrawn_at is not None:
        withdrawn = f"what was authorized since was withdrawn on {day_words(one.withdrawn_at)}"
        words = f"Estimate, version {one.key}, was given on {day_words(one.at)}; {withdrawn}."
    if one.valid_until is not None and one.valid_until < today:
        words += f" It was valid until {date_words(one.valid_until)}."
    return Ask(one.job, f"estimate-{one.key}", words, one.total, "estimate, with tax")


def _withdrawn(one: _WithoutAWord) -> Ask:
    on = day_words(one.at)
    words = f"What was authorized was withdrawn on {on}."
    if one.many > 1:
        words = f"All that was authorized was withdrawn, the last of it on {on}."
    return Ask(one.job, f"withdrawn-{one.key}", f"{words} Ask for another word.", sum_is=CHARGED)


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
