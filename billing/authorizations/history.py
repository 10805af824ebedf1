"""What a customer answered, and what followed, for the history of a job: sums only for those who see prices."""

from __future__ import annotations

from collections.abc import Iterator

from django.urls import reverse

from billing.authorizations.guarding import way_words
from billing.authorizations.models import Authorization, GoingOn, StoppedCharge
from billing.authorizations.stopped import stop_of
from billing.estimates.answered import StandingAnswer
from billing.estimates.models import Estimate
from staff.models import Person
from staff.policy import Permission
from staff.queries import local_day, shop_profile
from workorders.happened import Step
from workorders.models import Job
from workorders.money import money_words


def steps(person: Person, job: Job) -> list[Step]:
    """Estimates that were given, answers, and what was stopped, let go or gone on with: four queries."""
    told = _Told(job, shop_profile().currency, sees_sums=person.may(Permission.SEE_PRICES))
    found: list[Step] = []
    for estimate in job.estimates.filter(given_at__isnull=False).select_related("given_by"):
        found.append(told.given(estimate))
    answers = job.authorizations.select_related("noted_by", "withdrawn_by").prefetch_related("pieces")
    for answer in answers:
        found += told.answer(answer)
    for going in job.goings_on.select_related("noted_by"):
        found.append(told.gone_on(going))
    for stopped in job.stopped_charges.select_related("by", "let_go__noted_by"):
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

    def given(self, one: Estimate) -> Step:
        """An estimate was given."""
        assert one.given_at is not None  # noqa: S101  (for the type checker: the query says so)
        sum_ = (
            f" of {money_words(one.total, self.currency)} with tax" if self.sees_sums and one.total is not None else ""
        )
        how = one.get_given_how_display()
        return Step(one.given_at, "Estimate given", str(one.given_by), told=f"Version {one.revision}{sum_}, {how}.")

    def answer(self, one: Authorization) -> Iterator[Step]:
        """A customer agreed to something, and whether that was withdrawn."""
        sum_ = " to time and materials, with no ceiling" if one.is_open else ""
        if self.sees_sums and one.likely is not None:
            sum_ += f" (likely to come to {money_words(one.likely, self.currency)} with tax)"
        if self.sees_sums and not one.is_open:
            more = " more" if one.adds else ""
            sum_ = f" to {'no more than ' if one.is_ceiling else ''}{money_words(one.amount, self.currency)}{more}"
        to = f", after version {one.revision} of the estimate" if one.revision else ""
        told = f"{one.who} agreed{sum_}, {one.get_how_display()}{to}."
        pieces = one.pieces.all()
        settled = {piece.alternatives for piece in pieces if piece.is_taken and piece.alternatives}
        if declined := [one.words for one in pieces if not one.is_taken and one.alternatives not in settled]:
            told += f" Not taken: {'; '.join(declined)}."
        yield Step(one.noted_at, "Customer’s answer", str(one.noted_by), told=told, **self.link)
        if one.withdrawn_at is not None:
            why, by = one.why_withdrawn, str(one.withdrawn_by)
            yield Step(one.withdrawn_at, "Answer withdrawn", by, told=f"That of {one.who}.", written=why, **self.link)

    def gone_on(self, one: GoingOn) -> Step:
        """A manager went on."""
        up_to = f"Up to {money_words(one.up_to, self.currency)} with tax." if self.sees_sums else ""
        title = "Gone on past what was authorized"
        return Step(one.noted_at, title, str(one.noted_by), told=up_to, written=one.reason, **self.link)

    def stopped(self, one: StoppedCharge) -> Iterator[Step]:
        """A charge was stopped, and whether it was let go."""
        told = stop_of(one).words(self.currency) if self.sees_sums else f"“{one.description}” was stopped."
        yield Step(one.stopped_at, "Charge stopped", str(one.by), told=told, **self.link)
        let_go = getattr(one, "let_go", None)
        if let_go is not None:
            by, told = str(let_go.noted_by), f"“{one.description}”: nobody is asked about it."
            yield Step(let_go.noted_at, "Stopped charge let go", by, told=told, written=let_go.reason, **self.link)
