"""What customers authorize is noted; a manager may go on past it with a reason; the shop says what it allows on top."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.utils import timezone

from billing.authorizations.models import Authorization, AuthorizationRules, GoingOn
from billing.authorizations.queries import standing_of
from billing.estimates.models import Estimate
from commands.envelope import command, tell
from commands.questions import ask_once
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from staff.queries import local_day
from vessels.log.chain import FUTURE_ALLOWED
from vessels.wording import date_words
from web.versions import apply_changes
from workorders.actions.checking import lock_job, refuse_ended, refuse_unsound
from workorders.models import Job, JobLine
from workorders.money import money_words

LONG_AGO = timedelta(days=366)
RULES = ("tolerance_percent", "tolerance_amount", "citation")


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
    entry_id: uuid.UUID | None = None,
) -> Authorization:
    """Note what a customer agreed to. ``seen_total`` and ``seen_authorized`` are what the page showed beside it.

    Raises:
        Refused: what has to be known of it is missing, charges or another authorization came in the meantime, or the
            job is closed.
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
    if line is not None and line.job_id != stored.pk:
        raise Refused("This line is on another job.", fields={"line": "Choose a line of this job."})
    standing = standing_of(stored)
    if (standing.total, standing.limit.authorized) != (seen_total, seen_authorized):
        known = standing.limit.authorized
        before = "nothing" if known is None else _money(known, standing.currency)
        raise Refused(
            f"The job changed since this page was opened: it comes to {_money(standing.total, standing.currency)} now, "
            f"and {before} is authorized. Look at it, and note the answer again."
        )
    given = Estimate.objects.filter(job=stored, given_at__isnull=False).order_by("-revision").first()
    if given is not None:
        made.revision = given.revision
        if given.has_run_out_by(local_day(made.said_at)):
            said = f"The estimate was valid until {date_words(given.valid_until)}."
            ask_once(f"estimate of {given.valid_until}", said, field="amount", tick=said)
    made.save()
    after = standing_of(stored).limit.authorized
    tell(authorized=[None if standing.limit.authorized is None else str(standing.limit.authorized), str(after)])
    return made


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
    after = standing_of(authorization.job).limit.authorized
    tell(authorized=[str(before), None if after is None else str(after)])
    return authorization


@command("go_on", needs=Permission.GO_BEYOND, writes_to="job.vessel")
def go_on(*, by: Person, job: Job, up_to: Decimal, reason: str, entry_id: uuid.UUID | None = None) -> GoingOn:
    """Let charges pass what the customer authorized, up to a sum. It holds until the customer has been asked again.

    Raises:
        Refused: nothing was authorized that could be passed, the sum is not past it, or nobody said why.
    """
    stored = lock_job(job)
    refuse_ended(stored)
    standing = standing_of(stored)
    if standing.limit.sum is None:
        raise Refused("Nothing is authorized on this job, so nothing stops its charges.")
    made = GoingOn(job=stored, after=standing.last, up_to=up_to, reason=reason.strip(), noted_by=by)
    if not made.reason:
        sentence = "Write why the work goes on before the customer is asked."
        raise Refused(sentence, fields={"reason": sentence})
    refuse_unsound(made, ["up_to", "reason"])
    if up_to <= standing.limit.sum:
        sentence = f"Charges may come to {_money(standing.limit.sum, standing.currency)} already."
        raise Refused(sentence, fields={"up_to": sentence})
    made.save()
    tell(limit=[str(standing.limit.sum), str(up_to)])
    return made


@command("change_authorization_rules", needs=Permission.MANAGE_SHOP, writes_to="rules")
def change_authorization_rules(
    *, by: Person, rules: AuthorizationRules, seen_version: int, changes: Mapping[str, Any],
    entry_id: uuid.UUID | None = None,
) -> AuthorizationRules:  # fmt: skip
    """Say what the shop allows on top of an authorized sum, and where that is from.

    Raises:
        Conflict: somebody else saved in the meantime.
        Refused: it cannot be.
        ValueError: a field is not one of the rules.
    """
    if strange := set(changes) - set(RULES):
        raise ValueError(f"not a rule of authorization: {', '.join(sorted(strange))}")
    stored = AuthorizationRules.objects.get(pk=rules.pk)
    for name, value in changes.items():
        setattr(stored, name, value.strip() if isinstance(value, str) else value)
    refuse_unsound(stored, RULES)
    apply_changes(rules, seen_version=seen_version, changes={name: getattr(stored, name) for name in changes}, by=by)
    return rules
