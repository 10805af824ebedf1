"""What the shop's own rules stop: work without a written estimate, and consent by word that does not say to what."""

from __future__ import annotations

from billing.authorizations.limits import limit_of
from billing.authorizations.models import Authorization, AuthorizationRules
from billing.authorizations.queries import agreed_of
from commands.refusals import Refused
from staff.models import Person
from staff.queries import shop_profile
from workorders.models import Job, JobMove
from workorders.states import JobState

BY_WORD = frozenset({Authorization.PHONE, Authorization.PERSON})


def refuse_work_without_estimate(by: Person, job: Job, end: JobState) -> None:
    """Where the rule is on, work begins when an estimate was given, or the customer agreed to time and materials.

    That is an answer with a sum of zero that says what was agreed. Work for which less was authorized than the rule
    begins with goes without. Work that was begun before is not stopped.

    Raises:
        Refused: neither is so.
    """
    own = AuthorizationRules.objects.filter(pk=1, estimate_first=True).first() if end is JobState.IN_WORK else None
    if own is None or job.estimates.filter(given_at__isnull=False).exists():
        return
    if JobMove.objects.filter(entry__job=job, to_state=JobState.IN_WORK.value).exists():
        return
    agreed = agreed_of(job)
    if any(not one.amount and one.words for one in agreed):
        return
    limit = limit_of(agreed, percent=None, amount=None, up_to=None, currency=shop_profile().currency)
    authorized = limit.authorized
    if own.estimate_from is not None and authorized is not None and authorized < own.estimate_from:
        return
    raise Refused(
        f"The shop’s rules ask for a written estimate before work begins{_from(own)}. Give one on the Estimate tab; or "
        "note, under “Authorization” on the Lines tab, with a sum of zero, that the customer agreed to time and "
        "materials."
    )


def refuse_unspecified(made: Authorization, *, is_answer: bool) -> None:
    """Where the rule is on, consent by word to more than before says which parts and labor, and what they cost.

    Raises:
        Refused: it does not.
    """
    if made.how not in BY_WORD or is_answer or made.words or not made.adds:
        return
    own = AuthorizationRules.objects.filter(pk=1, specify_more=True).first()
    if own is not None:
        sentence = (
            f"Write which parts and labor it is for, and what they cost: the shop’s rules ask for it{_from(own)}."
        )
        raise Refused(sentence, fields={"words": sentence})


def _from(own: AuthorizationRules) -> str:
    return f" ({own.citation})" if own.citation else ""
