"""What a customer answered, and what followed, for the history of a job: sums only for those who see prices."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from decimal import Decimal
from typing import NamedTuple

from django.urls import reverse

from billing.authorizations.guarding import way_words
from billing.authorizations.models import Authorization
from billing.authorizations.stopped import Stop
from billing.estimates.answered import StandingAnswer
from billing.estimates.models import Estimate
from staff.models import Person
from staff.policy import Permission
from staff.queries import local_day, shop_profile
from web.rows import rows
from workorders.happened import Step
from workorders.models import Job
from workorders.money import money_words

GIVEN_HOW, AGREED_HOW = dict(Estimate.HOW), dict(Authorization.HOW)


class Given(NamedTuple):
    """An estimate that was given."""

    revision: int
    given_at: datetime
    given_how: str
    given_by: str
    total: Decimal | None


_GIVEN = """
    SELECT one.revision, one.given_at, one.given_how, COALESCE(person.name, '') AS given_by, one.total
    FROM estimates_estimate one LEFT JOIN staff_person person ON person.id = one.given_by_id
    WHERE one.job_id = %(job)s AND one.given_at IS NOT NULL ORDER BY one.revision DESC
"""


class Answer(NamedTuple):
    """What a customer agreed to; ``declined`` is what of the estimate was not taken, in its words."""

    amount: Decimal
    likely: Decimal | None
    adds: bool
    is_ceiling: bool
    is_open: bool
    revision: int | None
    who: str
    how: str
    noted_at: datetime
    noted_by: str
    withdrawn_at: datetime | None
    withdrawn_by: str | None
    why_withdrawn: str
    declined: Sequence[str]


_ANSWERS = """
    SELECT one.amount, one.likely, one.adds, one.is_ceiling, one.is_open, one.revision, one.who, one.how, one.noted_at,
           person.name AS noted_by, one.withdrawn_at, later.name AS withdrawn_by, one.why_withdrawn,
           ARRAY(SELECT piece.words FROM authorizations_answeredpiece piece
                 WHERE piece.authorization_id = one.id AND NOT piece.is_taken
                   AND NOT EXISTS (SELECT FROM authorizations_answeredpiece taken
                                   WHERE taken.authorization_id = one.id AND taken.is_taken
                                     AND taken.alternatives <> '' AND taken.alternatives = piece.alternatives)
                 ORDER BY piece.position) AS declined
    FROM authorizations_authorization one JOIN staff_person person ON person.id = one.noted_by_id
    LEFT JOIN staff_person later ON later.id = one.withdrawn_by_id
    WHERE one.job_id = %(job)s ORDER BY one.id
"""


class GoneOn(NamedTuple):
    """A manager let the work go on."""

    noted_at: datetime
    noted_by: str
    up_to: Decimal
    reason: str


_GONE_ON = """
    SELECT one.noted_at, person.name AS noted_by, one.up_to, one.reason
    FROM authorizations_goingon one JOIN staff_person person ON person.id = one.noted_by_id
    WHERE one.job_id = %(job)s ORDER BY one.id
"""


class Stopped(NamedTuple):
    """A charge that was stopped, and who let it go where somebody did."""

    description: str
    with_it: str
    before: Decimal
    after: Decimal
    limit: Decimal
    stopped_at: datetime
    by: str
    gone_at: datetime | None
    gone_by: str | None
    reason: str | None


_STOPPED = """
    SELECT one.description, one.with_it, one.before, one.after, one."limit", one.stopped_at, person.name AS by,
           gone.noted_at AS gone_at, later.name AS gone_by, gone.reason
    FROM authorizations_stoppedcharge one JOIN staff_person person ON person.id = one.by_id
    LEFT JOIN authorizations_letgo gone ON gone.stopped_id = one.id
    LEFT JOIN staff_person later ON later.id = gone.noted_by_id
    WHERE one.job_id = %(job)s ORDER BY one.id
"""


def steps(person: Person, job: Job, currency: str) -> list[Step]:
    """Estimates that were given, answers, and what was stopped, let go or gone on with: four queries."""
    told = _Told(job, currency, sees_sums=person.may(Permission.SEE_PRICES))
    asked = {"job": job.pk}
    found = [told.given(one) for one in rows(Given, _GIVEN, asked)]
    for answer in rows(Answer, _ANSWERS, asked):
        found += told.answer(answer)
    found += [told.gone_on(one) for one in rows(GoneOn, _GONE_ON, asked)]
    for stopped in rows(Stopped, _STOPPED, asked):
        found += told.stopped(stopped)
    return found


def answer_to(estimate: Estimate) -> str:
    """What the customer's last answer to a version comes to, for those who see prices; empty where there is none.

    An answer names what was taken of it. What was agreed on afterwards, or withdrawn, is none.
    """
    answers = Authorization.objects.filter(job=estimate.job_id, revision=estimate.revision, withdrawn_at=None)
    last = answers.filter(pieces__isnull=False).prefetch_related("pieces").order_by("-pk").first()
    if last is None:
        return ""
    said = way_words(last, local_day(last.said_at))
    if not any(piece.is_taken for piece in last.pieces.all()):
        return f"{said} took nothing of it."
    ceiling = "no more than " if last.is_ceiling else ""
    return f"{said} agreed to {ceiling}{money_words(last.amount, shop_profile().currency)} for it."


def standing_answer(estimate: Estimate) -> StandingAnswer | None:
    """The customer's last answer that was not withdrawn, to whichever version of a job's estimate."""
    answers = Authorization.objects.filter(job=estimate.job_id, withdrawn_at=None, revision__isnull=False)
    last = answers.filter(pieces__isnull=False).prefetch_related("pieces").order_by("-pk").first()
    if last is None or last.revision is None:
        return None
    pieces = last.pieces.all()
    settled = {piece.alternatives for piece in pieces if piece.is_taken and piece.alternatives}
    return StandingAnswer(
        last.revision,
        way_words(last, local_day(last.said_at)),
        {piece.key: piece.is_taken for piece in pieces},
        frozenset(piece.key for piece in pieces if not piece.is_taken and piece.alternatives in settled),
    )


class _Told:
    def __init__(self, job: Job, currency: str, *, sees_sums: bool) -> None:
        self.currency, self.sees_sums = currency, sees_sums
        page = reverse("authorizations:job", args=[job.number])
        self.link = {"url": page, "url_words": "authorization"} if sees_sums else {}

    def given(self, one: Given) -> Step:
        """An estimate was given."""
        sum_ = (
            f" of {money_words(one.total, self.currency)} with tax" if self.sees_sums and one.total is not None else ""
        )
        told = f"Version {one.revision}{sum_}, {GIVEN_HOW.get(one.given_how, one.given_how)}."
        return Step(one.given_at, "Estimate given", one.given_by, told=told)

    def answer(self, one: Answer) -> Iterator[Step]:
        """A customer agreed to something, and whether that was withdrawn."""
        sum_ = " to time and materials, with no ceiling" if one.is_open else ""
        if self.sees_sums and one.likely is not None:
            sum_ += f" (likely to come to {money_words(one.likely, self.currency)} with tax)"
        if self.sees_sums and not one.is_open:
            more = " more" if one.adds else ""
            sum_ = f" to {'no more than ' if one.is_ceiling else ''}{money_words(one.amount, self.currency)}{more}"
        to = f", after version {one.revision} of the estimate" if one.revision else ""
        told = f"{one.who} agreed{sum_}, {AGREED_HOW[one.how]}{to}."
        if one.declined:
            told += f" Not taken: {'; '.join(one.declined)}."
        yield Step(one.noted_at, "Customer’s answer", one.noted_by, told=told, **self.link)
        if one.withdrawn_at is not None:
            why, by = one.why_withdrawn, str(one.withdrawn_by)
            yield Step(one.withdrawn_at, "Answer withdrawn", by, told=f"That of {one.who}.", written=why, **self.link)

    def gone_on(self, one: GoneOn) -> Step:
        """A manager went on."""
        up_to = f"Up to {money_words(one.up_to, self.currency)} with tax." if self.sees_sums else ""
        title = "Gone on past what was authorized"
        return Step(one.noted_at, title, one.noted_by, told=up_to, written=one.reason, **self.link)

    def stopped(self, one: Stopped) -> Iterator[Step]:
        """A charge was stopped, and whether it was let go."""
        stop = Stop(one.description, one.before, one.after, one.limit, one.with_it)
        told = stop.words(self.currency) if self.sees_sums else stop.title
        yield Step(one.stopped_at, "Charge stopped", one.by, told=told, **self.link)
        if one.gone_at is not None:
            told = f"“{one.description}”: nobody is asked about it."
            by, why = one.gone_by or "", one.reason or ""
            yield Step(one.gone_at, "Stopped charge let go", by, told=told, written=why, **self.link)
