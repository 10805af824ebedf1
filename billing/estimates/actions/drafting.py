"""An estimate is begun, from nothing or from the version before, gets its terms and options, or is discarded."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import Max
from django.utils import timezone

from billing.estimates.actions.checking import MOST_OPTIONS, draft_to_write, told_name
from billing.estimates.lines import ON_ESTIMATES
from billing.estimates.models import Estimate, EstimateLine, EstimateOption
from billing.estimates.queries import deposit_words, worked_out
from commands.envelope import command, tell
from commands.questions import ask_once
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from staff.queries import local_day, shop_profile
from web.versions import apply_changes
from workorders.actions.checking import lock_job, refuse_ended, refuse_unsound
from workorders.models import Job
from workorders.money import money_words

VALID_DAYS = timedelta(days=30)
"""How long a new estimate holds where nobody says otherwise. Common practice, no source."""
FARTHEST = timedelta(days=2 * 366)
OF_DEPOSIT = ("deposit", "discount_percent", "discount_amount")
"""The terms that decide whether a deposit is more than all of it: where none changes, it was asked about before."""
TERMS = ("valid_until", "words", "discount_percent", "discount_amount", "deposit", "contingency_percent")
OPTION = ("name", "alternatives")


@command("start_estimate", needs=Permission.SET_PRICES, writes_to="job.vessel")
def start_estimate(*, by: Person, job: Job, entry_id: uuid.UUID | None = None) -> Estimate:
    """Begin the first version of a job's estimate, or the next one as a copy of the last.

    Raises:
        Refused: one is being written already, or the job is closed.
    """
    stored = lock_job(job)
    refuse_ended(stored)
    last = stored.estimates.order_by("-revision").first()
    if last is not None and last.is_draft:
        raise Refused(f"{last} is being written already.")
    today = local_day(timezone.now())
    made = Estimate(
        job=stored,
        revision=last.revision + 1 if last is not None else 1,
        replaces=last,
        valid_until=today + VALID_DAYS,
        started_by=by,
        changed_by=by,
    )
    if last is not None:
        for name in ("words", "discount_percent", "discount_amount", "deposit", "contingency_percent"):
            setattr(made, name, getattr(last, name))
    made.save()
    if last is not None:
        _copy(last, made, by)
    told_name(stored, made.revision)
    return made


def _copy(last: Estimate, made: Estimate, by: Person) -> None:
    """Options and lines of the version before, with their keys."""
    options = {}
    for old in last.options.all():
        options[old.pk] = EstimateOption.objects.create(
            estimate=made,
            key=old.key,
            position=old.position,
            name=old.name,
            alternatives=old.alternatives,
            changed_by=by,
        )
    for one in last.lines.all():
        said = {name: getattr(one, name) for name in ON_ESTIMATES if name != "option"}
        option = options[one.option_id] if one.option_id is not None else None
        EstimateLine.objects.create(
            estimate=made, key=one.key, position=one.position, option=option, changed_by=by, **said
        )


@command("change_estimate_terms", needs=Permission.SET_PRICES, writes_to="estimate.job.vessel")
def change_estimate_terms(
    *, by: Person, estimate: Estimate, seen_version: int, changes: Mapping[str, Any], entry_id: uuid.UUID | None = None
) -> Estimate:
    """Change how long an estimate holds, its words, its discount, deposit and contingency.

    Raises:
        Conflict: somebody else saved in the meantime.
        Refused: they cannot be, or the estimate was given.
        ValueError: a field is not one of the terms.
    """
    if strange := set(changes) - set(TERMS):
        raise ValueError(f"not a term of an estimate: {', '.join(sorted(strange))}")
    stored = draft_to_write(estimate)
    wanted = {name: value.strip() if isinstance(value, str) else value for name, value in changes.items()}
    before = [getattr(stored, name) for name in OF_DEPOSIT]
    for name, value in wanted.items():
        setattr(stored, name, value)
    refuse_unsound(stored, [name for name in TERMS if name != "valid_until"])
    if len(stored.words) > 2000:
        raise Refused("This is too long.", fields={"words": "No more than 2,000 characters."})
    if stored.discount_percent and stored.discount_amount:
        sentence = "A discount is a percentage or a sum, and not both."
        raise Refused(sentence, fields={"discount_amount": sentence})
    refuse_odd_day(stored.valid_until)
    if [getattr(stored, name) for name in OF_DEPOSIT] != before:
        _ask_about_deposit(stored)
    apply_changes(estimate, seen_version=seen_version, changes=wanted, by=by)
    return estimate


def _ask_about_deposit(estimate: Estimate) -> None:
    """Ask once about a deposit that is more than the work can come to as it is written now: lines may be to come."""
    currency = shop_profile().currency
    if said := deposit_words(worked_out(estimate, currency=currency), currency):
        asked = money_words(estimate.deposit or Decimal(0), currency)
        ask_once(
            f"deposit of {estimate.deposit} on {estimate.job.number}",
            f"{said} The estimate can’t be given so.",
            field="deposit",
            tick=f"Keep a deposit of {asked}, as more work is to come",
        )


def refuse_odd_day(day: date) -> None:
    """An estimate holds until a day to come, and not for years.

    Raises:
        Refused: the day has passed, or is too far away.
    """
    today = local_day(timezone.now())
    if day < today:
        sentence = "This day has passed. Say until when the estimate holds."
        raise Refused(sentence, fields={"valid_until": sentence})
    if day > today + FARTHEST:
        raise Refused("This day is too far away.", fields={"valid_until": "More than two years ahead. Check the year."})


@command("add_estimate_option", needs=Permission.SET_PRICES, writes_to="estimate.job.vessel")
def add_estimate_option(
    *, by: Person, estimate: Estimate, name: str, alternatives: str = "", entry_id: uuid.UUID | None = None
) -> EstimateOption:
    """Add something that the customer may take or leave.

    Raises:
        Refused: it has no name or one that is taken, or the estimate was given.
    """
    stored = draft_to_write(estimate)
    if stored.options.count() >= MOST_OPTIONS:
        raise Refused(f"An estimate has no more than {MOST_OPTIONS} options.")
    last = stored.options.aggregate(last=Max("position"))["last"] or 0
    option = EstimateOption(
        estimate=stored, name=name.strip(), alternatives=alternatives.strip(), position=last + 1, changed_by=by
    )
    _refuse_odd_option(option)
    option.save()
    return option


@command("change_estimate_option", needs=Permission.SET_PRICES, writes_to="option.estimate.job.vessel")
def change_estimate_option(
    *, by: Person, option: EstimateOption, seen_version: int, changes: Mapping[str, Any],
    entry_id: uuid.UUID | None = None,
) -> EstimateOption:  # fmt: skip
    """Change the name of an option, or what it excludes.

    Raises:
        Conflict: somebody else saved in the meantime.
        Refused: it has no name or one that is taken, or the estimate was given.
        ValueError: a field is not one of an option's.
    """
    if strange := set(changes) - set(OPTION):
        raise ValueError(f"not a field of an option: {', '.join(sorted(strange))}")
    draft_to_write(option.estimate)
    stored = EstimateOption.objects.get(pk=option.pk)
    wanted = {name: str(value).strip() for name, value in changes.items()}
    for name, value in wanted.items():
        setattr(stored, name, value)
    _refuse_odd_option(stored)
    apply_changes(option, seen_version=seen_version, changes=wanted, by=by)
    return option


@command("remove_estimate_option", needs=Permission.SET_PRICES, writes_to="estimate.job.vessel")
def remove_estimate_option(
    *, by: Person, estimate: Estimate, key: uuid.UUID, entry_id: uuid.UUID | None = None
) -> Estimate:
    """Remove an option from a draft, with its lines."""
    stored = draft_to_write(estimate)
    option = stored.options.filter(key=key).first()
    if option is not None:
        tell(option=[option.name, None])
        option.delete()
    return estimate


def _refuse_odd_option(option: EstimateOption) -> None:
    refuse_unsound(option, ["name", "alternatives"])
    others = option.estimate.options.exclude(pk=option.pk)
    if others.filter(name__iexact=option.name).exists():
        sentence = "There is an option of this name already."
        raise Refused(sentence, fields={"name": sentence})


@command("discard_estimate", needs=Permission.SET_PRICES, writes_to="job.vessel")
def discard_estimate(*, by: Person, job: Job, revision: int, entry_id: uuid.UUID | None = None) -> Job:
    """Discard a version that was not given.

    Raises:
        Refused: it was given.
    """
    stored = lock_job(job)
    found = stored.estimates.filter(revision=revision).first()
    if found is not None:
        if not found.is_draft:
            raise Refused(f"{found} was given to the customer and stays as it is.")
        tell(estimate=[f"{stored.number}, version {revision}", None])
        found.delete()
    return job
