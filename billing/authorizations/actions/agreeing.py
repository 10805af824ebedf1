"""What customers authorize is noted, with what they declined; what was noted may be withdrawn with a reason."""

from __future__ import annotations

import uuid
from datetime import datetime, timedelta
from decimal import Decimal

from django.utils import timezone

from billing.authorizations.actions.deferring import defer, drop_all_of, undo_steps_of
from billing.authorizations.answers import Answer, Chosen, Offer, chosen, last_given, offer_of
from billing.authorizations.limits import Limit
from billing.authorizations.made_of import kept_taxes
from billing.authorizations.models import AnsweredPiece, Authorization
from billing.authorizations.queries import Standing, standing_of
from billing.authorizations.ruled import refuse_open_sum, refuse_unspecified
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
from vessels.wording import date_words, moment_words
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
    is_open: bool = False,
    likely: Decimal | None = None,
    seen_open: bool = False,
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

    ``is_open`` is time and materials with no ceiling: ``amount`` is zero then, and ``likely`` what it was said to come
    to, which stops nothing. ``seen_open`` tells that the page showed such an agreement.

    With an ``answer`` to the estimate, ``amount`` is what the page said that it comes to, and what was declined becomes
    deferred work. ``strokes`` are a signature (``strokes.strokes_of``), ``seen_sheet`` the digest of the text that was
    shown above it; ``picture`` is a photo of the sheet that was signed.

    Raises:
        Refused: what has to be known of it is missing, the shop's rules do not allow it, charges or another
            authorization came in the meantime, the answer is to another version or comes to another sum, or the job is
            closed.
    """
    stored = lock_job(job)
    refuse_ended(stored)
    made = Authorization(
        job=stored,
        line=line,
        amount=amount,
        adds=adds,
        is_ceiling=is_ceiling,
        is_open=is_open,
        likely=likely,
        how=how,
        who=who.strip(),
        reached=reached.strip(),
        said_at=said_at or timezone.now(),
        words=words.strip(),
        noted_by=by,
        noted_at=timezone.now(),
    )
    refuse_unsound(made, ["amount", "likely", "how", "who", "reached", "words"])
    _refuse_what_has_no_sum(made)
    _refuse_what_is_missing(made, said_at)
    refuse_open_sum(made)
    refuse_unspecified(made, is_answer=answer is not None)
    if line is not None and line.job_id != stored.pk:
        raise Refused("This line is on another job.", fields={"line": "Choose a line of this job."})
    standing = standing_of(stored)
    _refuse_what_crossed(standing, seen_total, seen_authorized, is_open=seen_open)
    if standing.limit.is_open and made.adds:
        sentence = (
            "The customer agreed to time and materials with no ceiling: there is no sum that this could come on top "
            "of. Note it as all that is authorized."
        )
        raise Refused(sentence, fields={"adds": sentence})
    if made.adds and answer is None and standing.limit.authorized is None:
        sentence = "Nothing is authorized that this could come on top of. Note it as all that is authorized."
        raise Refused(sentence, fields={"adds": sentence})
    _ask_about_before(made, stored)
    given = last_given(stored)
    if given is not None:
        made.revision = given.revision
        if not made.is_open and given.has_run_out_by(local_day(made.said_at)):
            said = f"The estimate was valid until {date_words(given.valid_until)}."
            ask_once(f"estimate of {given.valid_until}", said, field="amount", tick=said)
    answered = _answered(given, answer, made) if answer is not None else None
    if answered is not None:
        made.taxes = kept_taxes(answered[1].rows)
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
    tell(authorized=[_told(standing.limit), _told(standing_of(stored).limit)])
    return made


def _ask_about_before(made: Authorization, job: Job) -> None:
    """Ask once where it was agreed before the job was opened: a customer may have called first, or a day is a slip."""
    if made.said_at >= job.opened_at.replace(second=0, microsecond=0):
        return
    said = f"That is before the job was opened: {moment_words(timezone.localtime(job.opened_at))}."
    ask_once(f"agreed at {made.said_at.isoformat()}", said, field="said_at", tick="It was agreed before")


def _told(limit: Limit) -> str | None:
    """What the journal says of what is authorized."""
    return "time and materials" if limit.is_open else None if limit.authorized is None else str(limit.authorized)


def _refuse_what_crossed(
    standing: Standing, seen_total: Decimal, seen_authorized: Decimal | None, *, is_open: bool
) -> None:
    """A charge or another answer that came after the page was opened."""
    limit = standing.limit
    if (standing.total, limit.authorized, limit.is_open) != (seen_total, seen_authorized, is_open):
        before = "nothing" if limit.authorized is None else _money(limit.authorized, standing.currency)
        if limit.is_open:
            before = "work at time and materials with no ceiling"
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


def _refuse_what_has_no_sum(made: Authorization) -> None:
    """Time and materials has no sum, none on top of another, and no ceiling; a sum is not said to be likely.

    Raises:
        Refused: it has.
    """
    fields = {}
    if not made.is_open:
        if made.likely is not None:
            fields["likely"] = "Leave this empty: a sum is authorized. It is for time and materials."
    else:
        if made.amount:
            fields["amount"] = (
                "Leave the sum empty: time and materials has none here. What it is likely to come to has a field of "
                "its own."
            )
        if made.adds:
            fields["adds"] = "Time and materials with no ceiling is all that is authorized, and not on top of a sum."
        if made.is_ceiling:
            fields["is_ceiling"] = "Time and materials up to a sum is noted as that sum, not to be exceeded."
        if made.likely is not None and not made.likely:
            fields["likely"] = "Leave this empty where nobody said what it is likely to come to."
    if fields:
        raise Refused(next(iter(fields.values())), fields=fields)


def _refuse_what_is_missing(made: Authorization, said_at: datetime | None) -> None:
    """What has to be known depends on how it was agreed."""
    fields = {}
    if made.how == Authorization.PHONE and not made.reached:
        fields["reached"] = "Enter the number that was called, or that called."
    if made.how in {Authorization.PHONE, Authorization.MESSAGE, Authorization.PAPER} and said_at is None:
        fields["said_at"] = "Enter the day and the time."
    if made.how in {Authorization.MESSAGE, Authorization.PERSON} and not made.words:
        message = made.how == Authorization.MESSAGE
        fields["words"] = "Paste the text of the message." if message else "Write what was agreed to."
    if not made.amount and not made.is_open and not made.words:
        fields["words"] = (
            "Write why the sum is zero: warranty, goodwill, or what else was agreed. Work without a ceiling is noted "
            "as time and materials."
        )
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
    before = standing_of(authorization.job).limit
    authorization.withdrawn_at, authorization.withdrawn_by = timezone.now(), by
    authorization.why_withdrawn = reason.strip()
    refuse_unsound(authorization, ["why_withdrawn"])
    authorization.save(update_fields=["withdrawn_at", "withdrawn_by", "why_withdrawn"])
    drop_all_of(authorization, by, authorization.why_withdrawn)
    undo_steps_of(authorization, by, authorization.why_withdrawn)
    ask(DRAW_AUTHORIZATION.name, str(authorization.pk))
    tell(authorized=[_told(before), _told(standing_of(authorization.job).limit)])
    return authorization
