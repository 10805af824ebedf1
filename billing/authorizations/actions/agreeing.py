"""What customers authorize is noted, with what they declined; what was noted may be withdrawn with a reason."""

from __future__ import annotations

import uuid
from datetime import datetime, timedelta
from decimal import Decimal

from django.utils import timezone

from billing.authorizations.actions.deferring import defer, drop_all_of
from billing.authorizations.answers import Answer, Chosen, Offer, chosen, last_given, offer_of
from billing.authorizations.models import AnsweredPiece, Authorization
from billing.authorizations.queries import Standing, standing_of
from billing.authorizations.ruled import refuse_unspecified
from billing.authorizations.signing import keep_picture, keep_signature
from billing.authorizations.tasks import DRAW_AUTHORIZATION
from billing.estimates.models import Estimate
from commands.background import ask
from commands.envelope import command, tell
from commands.questions import ask_once
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from staff.queries import local_day
from vessels.log.chain import FUTURE_ALLOWED
from vessels.wording import date_words
from workorders.actions.checking import lock_job, refuse_ended, refuse_unsound
from workorders.models import Job, JobLine
from workorders.money import money_words

LONG_AGO = timedelta(days=366)


@command("note_authorization", needs=Permission.SET_PRICES, writes_to="job.vessel")
def note_authorization(
    *,
    by: Person,
    job: Job,
    amount: Decimal,
    how: str,
    who: str,
    seen_total: Decimal,
    seen_authorized: Decimal | None,
    adds: bool = False,
    is_ceiling: bool = False,
    reached: str = "",
    said_at: datetime | None = None,
    words: str = "",
    line: JobLine | None = None,
    answer: Answer | None = None,
    strokes: str = "",
    seen_sheet: str = "",
    picture: bytes | None = None,
    entry_id: uuid.UUID | None = None,
) -> Authorization:
    """Note what a customer agreed to. ``seen_total`` and ``seen_authorized`` are what the page showed beside it.

    With an ``answer`` to the estimate, ``amount`` is what the page said that it comes to, and what was declined becomes
    deferred work. ``strokes`` are a signature (``strokes.strokes_of``), ``seen_sheet`` the digest of the text that was
    shown above it; ``picture`` is a photo of the sheet that was signed.

    Raises:
        Refused: what has to be known of it is missing, charges or another authorization came in the meantime, the
            answer is to another version or comes to another sum, or the job is closed.
    """
    stored = lock_job(job)
    refuse_ended(stored)
    made = Authorization(
        job=stored,
        line=line,
        amount=amount,
        adds=adds,
        is_ceiling=is_ceiling,
        how=how,
        who=who.strip(),
        reached=reached.strip(),
        said_at=said_at or timezone.now(),
        words=words.strip(),
        noted_by=by,
        noted_at=timezone.now(),
    )
    refuse_unsound(made, ["amount", "how", "who", "reached", "words"])
    _refuse_what_is_missing(made, said_at)
    refuse_unspecified(made, is_answer=answer is not None)
    if line is not None and line.job_id != stored.pk:
        raise Refused("This line is on another job.", fields={"line": "Choose a line of this job."})
    standing = standing_of(stored)
    _refuse_what_crossed(standing, seen_total, seen_authorized)
    given = last_given(stored)
    if given is not None:
        made.revision = given.revision
        if given.has_run_out_by(local_day(made.said_at)):
            said = f"The estimate was valid until {date_words(given.valid_until)}."
            ask_once(f"estimate of {given.valid_until}", said, field="amount", tick=said)
    answered = _answered(given, answer, made) if answer is not None else None
    if made.how == Authorization.DRAWN:
        keep_signature(made, strokes, seen_sheet, standing, answered=answered, answer=answer)
    if picture is not None:
        keep_picture(made, picture)
    made.save()
    if answer is not None and answered is not None:
        offer, chosen_now = answered
        _keep_pieces(made, chosen_now)
        defer(made, answer, offer, chosen_now, by)
    ask(DRAW_AUTHORIZATION.name, str(made.pk))
    after = standing_of(stored).limit.authorized
    tell(authorized=[None if standing.limit.authorized is None else str(standing.limit.authorized), str(after)])
    return made


def _refuse_what_crossed(standing: Standing, seen_total: Decimal, seen_authorized: Decimal | None) -> None:
    """A charge or another answer that came after the page was opened."""
    if (standing.total, standing.limit.authorized) != (seen_total, seen_authorized):
        known = standing.limit.authorized
        before = "nothing" if known is None else _money(known, standing.currency)
        raise Refused(
            f"The job changed since this page was opened: it comes to {_money(standing.total, standing.currency)} now, "
            f"and {before} is authorized. Look at it, and note the answer again."
        )


def _answered(given: Estimate | None, answer: Answer, made: Authorization) -> tuple[Offer, Chosen]:
    if given is None:
        raise Refused("No estimate was given for this job that could be answered.")
    if given.revision != answer.revision:
        raise Refused(
            f"Version {given.revision} of the estimate was given in the meantime. Answer that one, not "
            f"version {answer.revision}."
        )
    if made.adds:
        raise Refused("The answer to an estimate is all that is authorized, and not on top of what was before.")
    offer = offer_of(given)
    found = chosen(offer, answer)
    if found.total != made.amount:
        raise Refused(
            f"What was chosen comes to {_money(found.total, offer.currency)}, not "
            f"{_money(made.amount, offer.currency)}. Look at it again before you note it."
        )
    return offer, found


def _keep_pieces(made: Authorization, found: Chosen) -> None:
    AnsweredPiece.objects.bulk_create(
        AnsweredPiece(
            authorization=made,
            key=one.key,
            position=position,
            is_option=one.is_option,
            words=one.words,
            alternatives=one.alternatives,
            amount=one.adds,
            is_taken=one.is_taken,
        )
        for position, one in enumerate(found.pieces, start=1)
    )


def _money(value: Decimal, currency: str) -> str:
    return money_words(value, currency)


def _refuse_what_is_missing(made: Authorization, said_at: datetime | None) -> None:
    """What has to be known depends on how it was agreed."""
    fields = {}
    if made.how == Authorization.PHONE and not made.reached:
        fields["reached"] = "Enter the number that was called, or that called."
    if made.how in {Authorization.PHONE, Authorization.PAPER} and said_at is None:
        fields["said_at"] = "Enter the day and the time."
    if made.how in {Authorization.MESSAGE, Authorization.PERSON} and not made.words:
        message = made.how == Authorization.MESSAGE
        fields["words"] = "Paste the text of the message." if message else "Write what was agreed to."
    if not made.amount and not made.words:
        fields["words"] = "Write what was agreed to, as it costs nothing."
    if made.said_at > timezone.now() + FUTURE_ALLOWED:
        fields["said_at"] = "This is in the future. Enter a time in the past."
    elif made.said_at < timezone.now() - LONG_AGO:
        fields["said_at"] = "This is too long ago. Check the year."
    if fields:
        raise Refused(next(iter(fields.values())), fields=fields)


@command("withdraw_authorization", needs=Permission.SET_PRICES, writes_to="authorization.job.vessel")
def withdraw_authorization(
    *, by: Person, authorization: Authorization, reason: str, entry_id: uuid.UUID | None = None
) -> Authorization:
    """Note that an authorization no longer stands. It stays visible.

    Raises:
        Refused: nobody said why.
    """
    authorization.refresh_from_db()
    if authorization.withdrawn_at is not None:
        return authorization
    if not reason.strip():
        sentence = "Write why it no longer stands."
        raise Refused(sentence, fields={"reason": sentence})
    before = standing_of(authorization.job).limit.authorized
    authorization.withdrawn_at, authorization.withdrawn_by = timezone.now(), by
    authorization.why_withdrawn = reason.strip()
    refuse_unsound(authorization, ["why_withdrawn"])
    authorization.save(update_fields=["withdrawn_at", "withdrawn_by", "why_withdrawn"])
    drop_all_of(authorization, by, authorization.why_withdrawn)
    ask(DRAW_AUTHORIZATION.name, str(authorization.pk))
    after = standing_of(authorization.job).limit.authorized
    tell(authorized=[str(before), None if after is None else str(after)])
    return authorization
