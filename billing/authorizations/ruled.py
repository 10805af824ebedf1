"""What the shop's own rules stop: work without a written estimate, and consent by word that does not say to what."""

from __future__ import annotations

from billing.authorizations.limits import limit_of
from billing.authorizations.models import ANY_WAY, IN_WRITING, NEVER, Authorization, AuthorizationRules
from billing.authorizations.queries import agreed_of
from commands.questions import ask_once
from commands.refusals import Refused
from staff.models import Person
from staff.queries import shop_profile
from workorders.models import Job, JobMove
from workorders.states import JobState

BY_WORD = frozenset({Authorization.PHONE, Authorization.PERSON})


def refuse_work_without_estimate(by: Person, job: Job, end: JobState) -> None:
    """Where the rule is on, work begins when an estimate was given, or the customer agreed to time and materials.

    A sum of zero that says why goes without as well: no charge is made on it. So does work for which less was
    authorized than the rule begins with. Work that was begun before is not stopped.

    Raises:
        Refused: neither is so.
    """
    own = AuthorizationRules.objects.filter(pk=1, estimate_first=True).first() if end is JobState.IN_WORK else None
    if own is None or job.estimates.filter(given_at__isnull=False).exists():
        return
    if JobMove.objects.filter(entry__job=job, to_state=JobState.IN_WORK.value).exists():
        return
    agreed = agreed_of(job)
    limit = limit_of(agreed, percent=None, amount=None, up_to=None, currency=shop_profile().currency)
    authorized = limit.authorized
    if limit.is_open or (authorized is not None and not authorized):
        return
    if own.estimate_from is not None and authorized is not None and authorized < own.estimate_from:
        return
    raise Refused(
        f"The shop’s rules ask for a written estimate before work begins{_from(own)}. Give one on the Estimate "
        f"tab{_or_open(own)}."
    )


def ask_about_no_answer(by: Person, job: Job, end: JobState) -> None:
    """Ask where a job with an estimate is called authorized for the first time, and no answer or sum is noted.

    Raises:
        Questions: it is asked about.
    """
    if end is not JobState.AUTHORIZED or agreed_of(job) or not job.estimates.filter(given_at__isnull=False).exists():
        return
    if JobMove.objects.filter(entry__job=job, to_state=JobState.AUTHORIZED.value).exists():
        return
    ask_once(
        f"authorized without an answer {job.number}",
        "An estimate was given, and no answer to it is noted. Until one is, no sum is authorized, and no charge is "
        "stopped.",
        field="to-no-answer",
        tick="Authorized all the same",
    )


def refuse_unspecified(made: Authorization, *, is_answer: bool) -> None:
    """Where the rule is on, consent by word to more than before says which parts and labor, and what they cost.

    Raises:
        Refused: it does not.
    """
    if made.how not in BY_WORD or is_answer or made.words or not (made.adds or made.is_open):
        return
    if made.is_open and not agreed_of(made.job):  # nothing was agreed before, so it is no more than that
        return
    own = AuthorizationRules.objects.filter(pk=1, specify_more=True).first()
    if own is not None:
        sentence = (
            f"Write which parts and labor it is for, and what they cost: the shop’s rules ask for it{_from(own)}."
        )
        raise Refused(sentence, fields={"words": sentence})


def refuse_open_sum(made: Authorization) -> None:
    """Where the shop's rules say so, no work without a ceiling, or only where the customer agreed to it in writing.

    Raises:
        Refused: the rules do not allow it.
    """
    own = AuthorizationRules.objects.filter(pk=1).first() if made.is_open else None
    if own is None or own.time_and_materials == ANY_WAY:
        return
    if own.time_and_materials == NEVER:
        sentence = f"The shop’s rules allow no time and materials without a ceiling{_from(own)}. Agree on a sum."
        raise Refused(sentence, fields={"is_open": sentence})
    if made.how in BY_WORD:
        sentence = (
            "The shop’s rules allow time and materials without a ceiling only in writing: signed on the screen, on "
            f"paper, or by mail or message{_from(own)}."
        )
        raise Refused(sentence, fields={"how": sentence})


def _or_open(own: AuthorizationRules) -> str:
    """The other way, where the shop's rules leave it."""
    if own.time_and_materials == NEVER:
        return ""
    written = " in writing" if own.time_and_materials == IN_WRITING else ""
    return f"; or note, under “Authorization” on the Lines tab, that the customer agreed{written} to time and materials"


def _from(own: AuthorizationRules) -> str:
    return f" ({own.citation})" if own.citation else ""
