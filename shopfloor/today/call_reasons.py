"""What of floors above jobs is to be called about: estimates unanswered, sums gone past, promises at risk."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import NamedTuple

from django.utils import timezone

from billing.authorizations.past import Past, looked_at, past_of
from billing.authorizations.stopped import OPEN_STOPS, last_of_each, still_open
from shopfloor.week.promises import at_risk
from vessels.wording import date_words, day_words
from web.rows import rows
from workorders.calls.asking import CHARGED, OF_JOBS, Ask, Scope, Source, counts_as_priced, register
from workorders.money import money_words
from workorders.queries.jobs import OPEN_IN_SQL
from workorders.states import JobState


def register_reasons() -> None:
    """Make them known."""
    register(Source("no word of the customer", _without_a_word, 10))
    register(Source("stopped charge", _stopped, 15))
    register(Source("gone past", _gone_past, 20))
    register(Source("past what was said", _past_what_was_said, 22))
    register(Source("promise at risk", _at_risk, 60))
    counts_as_priced(_ESTIMATED)
    counts_as_priced(_OPEN_ENDED)


_ESTIMATED = """EXISTS (SELECT FROM estimates_estimate given
    WHERE given.job_id = job.id AND given.given_at IS NOT NULL AND given.total > 0)"""
_OPEN_ENDED = """EXISTS (SELECT FROM authorizations_authorization said
    WHERE said.job_id = job.id AND said.withdrawn_at IS NULL AND said.is_open)"""
_UNDECIDED = f"'{JobState.ESTIMATE}', '{JobState.WAITING_CUSTOMER}'"
_WITHOUT_A_WORD = f"""
    (SELECT 'given' AS kind, given.job_id AS job, given.revision AS key, given.given_at AS at, 1 AS many,
            given.valid_until, given.total,
            (SELECT max(answer.withdrawn_at) FROM authorizations_authorization answer
             WHERE answer.job_id = given.job_id AND answer.noted_at >= given.given_at) AS withdrawn_at
     FROM workorders_job job JOIN estimates_estimate given ON given.job_id = job.id
     WHERE job.state IN ({_UNDECIDED}) AND given.given_at IS NOT NULL
       AND {OF_JOBS.format("job.id")}
       AND NOT EXISTS (SELECT FROM estimates_estimate later WHERE later.job_id = given.job_id
                       AND later.given_at IS NOT NULL AND later.revision > given.revision)
       AND NOT EXISTS (SELECT FROM authorizations_authorization answer WHERE answer.job_id = given.job_id
                       AND answer.withdrawn_at IS NULL AND answer.noted_at >= given.given_at)
       AND NOT (EXISTS (SELECT FROM workorders_charge charge
                        JOIN invoices_invoicedcharge paid ON paid.charge_id = charge.id
                        JOIN invoices_invoice invoice ON invoice.id = paid.invoice_id
                        WHERE charge.job_id = given.job_id AND charge.struck_at IS NULL
                          AND invoice.made_at >= given.given_at)
                AND NOT EXISTS (SELECT FROM workorders_charge charge
                                WHERE charge.job_id = given.job_id AND charge.struck_at IS NULL AND NOT EXISTS
                                (SELECT FROM invoices_invoicedcharge paid WHERE paid.charge_id = charge.id)))
     ORDER BY given.given_at, given.id LIMIT %(most)s)
    UNION ALL
    (SELECT 'withdrawn', said.job_id, max(said.id), max(said.withdrawn_at), count(*), NULL, NULL, max(said.withdrawn_at)
     FROM workorders_job job JOIN authorizations_authorization said ON said.job_id = job.id
     WHERE job.state IN ({OPEN_IN_SQL}) AND {OF_JOBS.format("job.id")}
       AND (job.state NOT IN ({_UNDECIDED}) OR NOT EXISTS (SELECT FROM estimates_estimate given
            WHERE given.job_id = job.id AND given.given_at IS NOT NULL))
       AND (job.state <> 'estimate' OR EXISTS (SELECT FROM workorders_charge charge WHERE charge.job_id = job.id
            AND charge.struck_at IS NULL AND charge.unit_price > 0))
     GROUP BY said.job_id HAVING bool_and(said.withdrawn_at IS NOT NULL)
     ORDER BY max(said.withdrawn_at), said.job_id LIMIT %(most)s)
"""  # noqa: S608  (put together from what the program says)
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
    found = rows(_WithoutAWord, _WITHOUT_A_WORD, scope.asked)
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


_STOPPED = f"""
    SELECT stop.id AS pk, stop.job_id, stop.description, stop.with_it, stop.before, stop.after,
           stop.stopped_at, person.name AS by
    FROM authorizations_stoppedcharge stop JOIN workorders_job job ON job.id = stop.job_id
    JOIN staff_person person ON person.id = stop.by_id
    WHERE job.state IN ({OPEN_IN_SQL}) AND {OF_JOBS.format("job.id")} AND stop.id IN ({OPEN_STOPS})
    ORDER BY stop.id LIMIT %(most)s
"""  # noqa: S608


class _Stopped(NamedTuple):
    pk: int
    job_id: int
    description: str
    with_it: str
    before: Decimal
    after: Decimal
    stopped_at: datetime
    by: str


def _stopped(scope: Scope) -> list[Ask]:
    """Charges that were stopped, as they would pass what was authorized, until somebody answers or lets them go."""
    found = rows(_Stopped, _STOPPED, scope.asked)
    told = []
    for one, count in last_of_each(still_open(scope.first(found, "stopped charges"))).values():
        others = f" {count - 1} more {'was' if count == 2 else 'were'} stopped before." if count > 1 else ""
        with_it = f", with {one.with_it}," if one.with_it else ""
        words = (
            f"“{one.description}”{with_it} was stopped on {day_words(one.stopped_at)}, entered by {one.by}: it would "
        )
        words += f"have passed what was authorized. Ask for another word.{others}"
        told.append(Ask(one.job_id, f"stopped-{one.pk}", words, one.after, "it would have come to then, with tax"))
    return told


_GONE_PAST = f"""
    SELECT went.id AS pk, went.job_id, went.up_to, went.noted_at, person.name AS noted_by
    FROM authorizations_goingon went JOIN workorders_job job ON job.id = went.job_id
    JOIN staff_person person ON person.id = went.noted_by_id
    WHERE job.state IN ({OPEN_IN_SQL}) AND {OF_JOBS.format("job.id")}
      AND went.after_id = (SELECT max(id) FROM authorizations_authorization
                           WHERE job_id = went.job_id AND withdrawn_at IS NULL)
    ORDER BY went.id LIMIT %(most)s
"""  # noqa: S608


class _GoneOn(NamedTuple):
    pk: int
    job_id: int
    up_to: Decimal
    noted_at: datetime
    noted_by: str


def _gone_past(scope: Scope) -> list[Ask]:
    """Jobs that a manager let go on past what was authorized, until the customer gives another word."""
    told = {}
    for one in scope.first(rows(_GoneOn, _GONE_PAST, scope.asked), "gone past"):
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
