"""A charge that would pass what was authorized is stopped, with a sentence that says whom to ask."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from decimal import Decimal

from billing.authorizations.actions.stopping import keep_stopped_charge
from billing.authorizations.models import Authorization
from billing.authorizations.queries import Standing, standing_of
from commands.questions import ask_once
from commands.refusals import Refused
from staff.models import Person
from staff.queries import local_day
from vessels.wording import date_words
from workorders.guards import waits_for_the_end
from workorders.models import Charge, Job
from workorders.money import money_words
from workorders.reckoning import rounded
from workorders.worth import worth_of_jobs, worth_with

MOST_NAMED = 4
"""Charges of one act that are told by their names beside the largest."""
MOST_SAID = 120
"""Signs of what somebody said that are told in a sentence."""


def stop_past_the_sum(by: Person, charge: Charge) -> None:
    """Stop a charge that brings the job past what the customer authorized and the shop allows on top; it is kept.

    Where no sum stops it, one that brings the job past what was said to be likely is asked about once. A charge of an
    act of several is looked at with all of them: see ``stop_touch_past_the_sum``.

    Raises:
        Refused: it does.
        Questions: it is asked about.
    """
    if waits_for_the_end(charge):
        return
    job = charge.job
    _ask_after_a_withdrawal(job, charge)
    standing = _standing_that_stops(job)
    if standing is not None:
        _refuse_past_the_sum(by, job, standing, worth_with(job, charge, currency=standing.currency), [charge])


def stop_touch_past_the_sum(by: Person, job: Job) -> Callable[[Sequence[Charge]], None]:
    """The same of an act of several charges: what the job comes to before it is compared with what after all of it."""
    standing = _standing_that_stops(job)

    def at_the_end(added: Sequence[Charge]) -> None:
        for one in [one for one in added if one.unit_price > 0][:1]:
            _ask_after_a_withdrawal(job, one)
        if standing is not None and added:
            now = Job.objects.get(pk=job.pk)
            after = worth_of_jobs([now], currency=standing.currency)[now.pk]
            _refuse_past_the_sum(by, now, standing, after, added)

    return at_the_end


def _ask_after_a_withdrawal(job: Job, charge: Charge) -> None:
    """Ask about a charge where all that was authorized was withdrawn: no sum stops it."""
    if charge.quantity * charge.unit_price <= 0:
        return
    noted = list(Authorization.objects.filter(job=job).order_by("withdrawn_at").values_list("pk", "withdrawn_at"))
    key, at = noted[-1] if noted else (None, None)
    if at is None:  # nothing was noted, or one stands: that is last in this order
        return
    what = "What was authorized was" if len(noted) == 1 else "All that was authorized was"
    last = "" if len(noted) == 1 else ", the last of it"
    ask_once(
        f"withdrawn {key} on {job.number}",
        f"{what} withdrawn{last} on {date_words(local_day(at))}, and the customer agreed to nothing since. No sum "
        "stops this charge.",
        field="unit_price",
        tick="Charge it all the same",
    )


def _standing_that_stops(job: Job) -> Standing | None:
    """Where a job stands before a charge; None where nothing is compared with it."""
    if not Authorization.objects.filter(job=job, withdrawn_at=None).exists():
        return None
    standing = standing_of(job)
    return None if standing.limit.sum is None and standing.likely is None else standing


def _refuse_past_the_sum(by: Person, job: Job, standing: Standing, after: Decimal, added: Sequence[Charge]) -> None:
    limit = standing.limit.sum
    if limit is None:
        _ask_past_the_likely(job, standing, after)
        return
    if after > limit and after > standing.total:
        currency = standing.currency
        most = max(added, key=lambda one: rounded(one.quantity * one.unit_price, currency))
        raise Refused(
            f"This brings the job to {money_words(after, currency)} with tax. {limit_words(standing)} Ask the customer "
            "again and note the answer under “Authorization” on the Lines tab, or have a manager go on with a reason.",
            once_undone=lambda: keep_stopped_charge(
                by=by,
                job=job,
                line=most.line,
                description=most.description,
                after=after,
                limit=limit,
                with_it=with_it_words([one.description for one in added if one is not most]),
            ),
        )


def with_it_words(descriptions: Sequence[str]) -> str:
    """The other charges of an act by their names, the first few of them; empty where there is none."""
    named = [f"“{one}”" for one in descriptions[:MOST_NAMED]]
    if len(descriptions) > MOST_NAMED:
        named.append(f"{len(descriptions) - MOST_NAMED} more")
    return " and ".join(filter(None, [", ".join(named[:-1]), *named[-1:]]))


def _ask_past_the_likely(job: Job, standing: Standing, after: Decimal) -> None:
    """Ask about the charge that passes what was said to be likely, and about one that is more than that by itself."""
    likely = standing.likely
    if likely is None or after <= likely or (standing.total > likely and after - standing.total <= likely):
        return
    currency = standing.currency
    comes_to, more = money_words(after, currency), money_words(after - likely, currency)
    ask_once(
        f"{after} past the likely {likely} on {job.number}",
        f"This brings the job to {comes_to} with tax, {more} more than the {money_words(likely, currency)} that was "
        "said to be likely. No sum stops it.",
        field="unit_price",
        tick=f"Let the job come to {comes_to}",
    )


def way_words(last: Authorization, said_on: date) -> str:
    """Who said it, how and when: the beginning of a sentence."""
    day = date_words(said_on)
    return {
        Authorization.PHONE: f"By phone on {day} {last.who}",
        Authorization.MESSAGE: f"In a message of {day} {last.who}",
        Authorization.PAPER: f"On a signed sheet of {day} {last.who}",
        Authorization.PERSON: f"In person on {day} {last.who}",
        Authorization.DRAWN: f"Signed on the screen on {day}: {last.who}",
    }[last.how]


def _agreed_words(last: Authorization, said_on: date, authorized: Decimal, currency: str) -> str:
    """The customer's last word as people say it; where it came on top, with what it makes in all."""
    way = way_words(last, said_on)
    whole = money_words(authorized, currency)
    if not authorized and last.words:  # warranty, goodwill, or that nothing is to be done: only the words say which
        said = " ".join(last.words.split())
        return f"{way} agreed, with a sum of {whole}: “{said if len(said) <= MOST_SAID else f'{said[:MOST_SAID]}…'}”."
    if last.adds:
        more = f"{money_words(last.amount, currency)} more, {whole} in all"
        return f"{way} agreed to {more}{', not to be exceeded' if last.is_ceiling else ''}."
    return f"{way} agreed to {'no more than ' if last.is_ceiling else ''}{whole}."


def _nothing_words(standing: Standing) -> str:
    return "What was authorized was withdrawn." if standing.is_withdrawn else "Nothing is authorized yet."


def _open_words(standing: Standing, last: Authorization, said_on: date) -> str:
    """That work has no ceiling, and what it was said to come to."""
    way, currency = way_words(last, said_on), standing.currency
    said = f"{way} agreed to time and materials, with no ceiling."
    if not last.is_open:
        more = money_words(last.amount, currency)
        said = f"{way} agreed to {more} more, on top of time and materials with no ceiling."
    if standing.likely is not None:
        said += f" It was said to be likely to come to {money_words(standing.likely, currency)} with tax"
        said += ", and comes to more by now." if standing.is_past_the_likely else "."
    return f"{said} No sum stops a charge."


def limit_words(standing: Standing) -> str:
    """What was authorized, by whom and when, what the shop allows on top, and how far a manager went."""
    last, limit, currency = standing.last, standing.limit, standing.currency
    if last is not None and standing.said_on is not None and limit.is_open:
        return _open_words(standing, last, standing.said_on)
    if last is None or standing.said_on is None or limit.authorized is None:
        return _nothing_words(standing)
    said = _agreed_words(last, standing.said_on, limit.authorized, currency)
    if limit.allowed:
        said += f" The shop allows {money_words(limit.allowed, currency)} on top."
    if standing.going_on is not None:
        said += f" {standing.going_on.noted_by} went on up to {money_words(standing.going_on.up_to, currency)}."
    if not limit.sum:
        said += f" So a charge that brings the job above {money_words(Decimal(0), currency)} is stopped."
    return said


def past_words(standing: Standing, that: str) -> str:
    """That the job comes to more than is authorized already, and what allows it; nothing where it does not.

    ``that`` is what the authorized sum is called.
    """
    authorized, currency = standing.limit.authorized, standing.currency
    if authorized is None or standing.total <= authorized:
        return ""
    said = f"The job already comes to {money_words(standing.total, currency)}, "
    said += f"{money_words(standing.total - authorized, currency)} more than {that}"
    if standing.total <= authorized + standing.limit.allowed:
        return f"{said}, which the shop allows on top."
    if standing.going_on is not None and not standing.past:
        return f"{said}, as {standing.going_on.noted_by} let the work go on."
    return f"{said}."


def in_all_words(standing: Standing) -> str:
    """The sum that is authorized, by all that stands."""
    return f"the {money_words(standing.limit.authorized or Decimal(0), standing.currency)} that is authorized in all"


def words_without_sums(standing: Standing) -> str:
    """Who agreed, how and when, for those who see no prices."""
    if standing.last is not None and standing.said_on is not None and standing.limit.is_open:
        way = way_words(standing.last, standing.said_on)
        more = "" if standing.last.is_open else "more, on top of "
        return f"{way} agreed to {more}time and materials{',' if not more else ''} with no ceiling."
    if standing.last is None or standing.said_on is None or standing.limit.authorized is None:
        return _nothing_words(standing)
    said = f"{way_words(standing.last, standing.said_on)} agreed."
    if standing.going_on is not None:
        said += f" {standing.going_on.noted_by} went on past what was agreed."
    return said
