"""What was estimated becomes what is charged: a given estimate's lines with their discounts, in one touch."""

from __future__ import annotations

import uuid
from collections.abc import Collection, Mapping, Sequence
from decimal import Decimal
from typing import Any
from uuid import UUID

from billing.estimates.answered import tell_charged
from billing.estimates.lines import paper_order, share_words, storage_words
from billing.estimates.models import Estimate, EstimateLine
from billing.estimates.pricing import Share, shares_of_choice
from billing.estimates.raised import Raised, at_sum, raised
from billing.estimates.to_charge import Choice, charges_of_lines, choices, other_discount
from commands.envelope import command, tell
from commands.questions import all_at_once, ask_once
from commands.refusals import Refused
from engineering.canonical import plain_decimal
from staff.models import Person
from staff.policy import Permission
from staff.queries import shop_profile
from workorders.actions import add_charge, change_job_discount, return_core, strike_charge
from workorders.actions.checking import lock_job, refuse_ended
from workorders.guards import comes_back_at_once, move_to_replacement, one_touch
from workorders.labor.sold import move_hours
from workorders.models import Charge, Job
from workorders.reckoning import discount_of

MOST_WORDS = 160
"""Characters of a charge's description."""


@command("charge_estimate", needs=Permission.SET_PRICES, writes_to="estimate.job.vessel")
def charge_estimate(
    *,
    by: Person,
    estimate: Estimate,
    options: Sequence[str] | None = None,
    lines: Sequence[str] | None = None,
    entry_id: uuid.UUID | None = None,
) -> Job:
    """Charge lines of a given estimate that are not on the job yet: ``lines`` of the work and ``options``, by key.

    Where they are left out, what the customer's answer has taken; the work whole where nobody answered. What was
    charged before and voided or credited is charged again only where it is named. Of what was declined and is charged
    all the same, the deferred work says so. The discount of the whole becomes the job's. A line that was charged from
    an earlier version is not charged again: where its sum is another now, the job is brought to that. So is a fee that
    is a percentage, of what is charged of the estimate by then.

    Raises:
        Refused: it is a draft, a later version was given, two options exclude each other, all of it is charged, nothing
            is chosen, the job has ended, or it passes what was authorized.
    """
    job = lock_job(estimate.job)
    refuse_ended(job)
    _refuse_ineffective(estimate)
    offered = choices(estimate)
    chosen = _chosen(estimate, offered, lines, options)
    left, changed, shares = _to_charge(estimate, offered, chosen)
    discount = other_discount(estimate, job)
    if not left and not changed and (not discount or any(one.is_offered for one in offered)):
        raise Refused(_why_nothing(offered, is_named=lines is not None))
    with all_at_once():
        _ask_about_labor(job, left)
        _ask_about_declined(job, chosen)
    with one_touch(by, job):
        if discount:
            change_job_discount(
                by=by, job=job, percent=estimate.discount_percent, amount=estimate.discount_amount, is_ahead=True
            )
        for one in changed:
            for charge in one.voided:
                strike_charge(by=by, charge=charge)
        for line in left:
            if line.core_back:
                with comes_back_at_once():  # it takes no room of what was authorized
                    return_core(by=by, charge=_charge(by, job, line, shares))
            else:
                _charge(by, job, line, shares)
        for one in changed:
            charge_change(by, job, estimate, one, shares)
    tell(charges=[None, str(len(left) + len(changed))])
    charged = {line.key for line in left} | {one.line.key for one in changed}
    tell_charged(by, estimate, charged | {one.key for one in chosen if one.is_option and one.left})
    return job


def charge_change(by: Person, job: Job, estimate: Estimate, one: Raised, shares: Mapping[UUID, Share]) -> None:
    """Charge what brings a line to its sum in this version; hours and a fitted part go along with it."""
    if not one.rest:
        return
    made = _charge_difference(by, job, estimate, one) if one.fixed else _charge(by, job, one.line, shares)
    for old in one.voided:
        move_hours(old, made)
        move_to_replacement(old, made)


def _charge_difference(by: Person, job: Job, estimate: Estimate, one: Raised) -> Charge:
    """What a line comes to in this version beyond what of it is invoiced."""
    line, more = one.line, f" (added by version {estimate.revision})"
    room = MOST_WORDS - len(more)
    words = line.description if len(line.description) <= room else f"{line.description[: room - 1]}…"
    quantity, price = one.hours(shop_profile().currency) or (Decimal(1), one.rest)
    made = add_charge(
        by=by, job=job, kind=line.kind, line=line.job_line, description=f"{words}{more}", quantity=quantity,
        unit_price=price, taxable=line.taxable, part=line.part,
    )  # fmt: skip
    made.origin = line.key
    made.save(update_fields=["origin"])
    return made


def _charge(by: Person, job: Job, line: EstimateLine, shares: Mapping[UUID, Share]) -> Charge:
    """A line as a charge; a percentage as the sum that it comes to, with what it is made of."""
    is_share = line.percent is not None
    made = add_charge(
        by=by,
        job=job,
        kind=line.kind,
        line=line.job_line,
        description=_description(line, shares.get(line.key)),
        quantity=Decimal(1) if is_share else line.quantity or Decimal(1),
        unit_price=shares[line.key].amount if is_share else line.unit_price,
        taxable=line.taxable,
        part=line.part,
        discount_percent=line.discount_percent,
        discount_amount=line.discount_amount,
        is_core=line.is_core,
    )
    made.origin = line.key
    made.save(update_fields=["origin"])
    return made


def _description(line: EstimateLine, share: Share | None) -> str:
    """What a line is charged for: its words, and of a percentage or of storage what no quantity and price tell."""
    made_of = storage_words(line) if share is None else share_words(line, share.of, shop_profile().currency)
    if not made_of:
        return line.description
    made_of = f" ({made_of})"
    room = MOST_WORDS - len(made_of)
    words = line.description if len(line.description) <= room else f"{line.description[: room - 1]}…"
    return f"{words}{made_of}"


def _refuse_ineffective(estimate: Estimate) -> None:
    if estimate.given_at is None:
        raise Refused("Give the estimate to the customer first; then it can be charged.")
    later = estimate.job.estimates.filter(revision__gt=estimate.revision, given_at__isnull=False).last()
    if later is not None:
        raise Refused(f"Version {later.revision} was given in place of this one. Charge that one.")


def _chosen(
    estimate: Estimate, offered: Sequence[Choice], lines: Sequence[str] | None, options: Sequence[str] | None
) -> list[Choice]:
    """What is to be charged; where it is not said, what is proposed."""
    named = {True: options, False: lines}
    for is_option, keys in named.items():
        known = {str(one.key) for one in offered if one.is_option is is_option}
        if set(keys or ()) - known:
            what = "options" if is_option else "lines"
            raise Refused(f"One of these {what} is not on this estimate. Open it again.")
    taken = [
        one for one in offered if (one.is_proposed if (keys := named[one.is_option]) is None else str(one.key) in keys)
    ]
    option_keys = {one.key for one in taken if one.is_option}
    groups = [one.alternatives for one in estimate.options.all() if one.key in option_keys and one.alternatives]
    twice = next((group for group in groups if groups.count(group) > 1), "")
    if twice:
        raise Refused(f"Of the options “{twice}” the customer takes one. Choose one of them.")
    return taken


def _to_charge(
    estimate: Estimate, offered: Sequence[Choice], chosen: Sequence[Choice]
) -> tuple[list[EstimateLine], list[Raised], dict[UUID, Share]]:
    """The lines to charge in their order, those whose sum becomes another, and what the percentages come to.

    A percentage of nothing is left out. One that is on the job is brought to its sum together with the rest.
    """
    currency = shop_profile().currency
    left = [line for one in chosen for line in one.left]
    changed = [line for one in chosen for line in one.raised]
    away, others = {line.key for one in offered for line in one.left}, {one.line.key for one in changed}
    on_job = charges_of_lines(estimate)
    there = [
        line if line.percent is not None or line.key in others else at_sum(line, on_job[line.key], currency)
        for line in estimate.lines.all()
        if line.key not in away
    ]
    shares = shares_of_choice([*there, *left], currency=currency)
    kept = [line for line in left if line.percent is None or shares[line.key].amount]
    if kept or changed:
        for line in there:
            if line.percent is not None:
                found = share_raised(line, on_job[line.key], shares[line.key], currency)
                changed += [found] if found is not None else []
    return sorted(kept, key=paper_order), changed, shares


def _share_price(line: EstimateLine, share: Share, currency: str) -> Decimal:
    """What a percentage comes to less its own discount."""
    discount = discount_of(line.discount_percent, line.discount_amount)
    return share.amount - (discount.within(share.amount).of(share.amount, currency) if discount is not None else 0)


def share_raised(line: EstimateLine, charges: Sequence[Any], share: Share, currency: str) -> Raised | None:
    """How the charges of a percentage come to what it comes to now; also where only what it is a percentage of differs.

    What of it is invoiced names what it was a percentage of then.
    """
    price = _share_price(line, share, currency)
    found = raised(line, charges, price, currency)
    if found is not None or len(charges) != 1 or charges[0].mark is not None:
        return found
    return Raised(line, charges, [], price) if charges[0].description != _description(line, share) else None


def _why_nothing(offered: Sequence[Choice], *, is_named: bool) -> str:
    if not any(one.is_offered for one in offered if not one.is_option):
        return "Every line of this estimate is on the job already."
    if is_named:
        return "Nothing is selected that could be charged. Select at least one line or option that has a price."
    return (
        "Nothing of this estimate is charged without being selected: what is not on the job was declined, or was "
        "charged before and voided or credited."
    )


def _ask_about_declined(job: Job, chosen: Sequence[Choice]) -> None:
    """Ask once whether what the customer declined, or what was voided or credited, is charged all the same.

    The page may be older than the answer or the credit.
    """
    odd = [one for one in chosen if (one.declined or one.before) and one.is_offered]
    if odd:
        said = " ".join(f"“{one.words}”: {' '.join(filter(None, (one.declined, one.before)))}" for one in odd)
        keys = " ".join(f"{str(one.key)[:8]}{'-' * bool(one.declined)}{'+' * bool(one.before)}" for one in odd)
        many = "it" if len(odd) == 1 else "them"
        ask_once(
            f"not charged by itself {keys} on {job.number}", said, field="lines", tick=f"Charge {many} all the same"
        )


def _ask_about_labor(job: Job, lines: Collection[EstimateLine]) -> None:
    """Ask once whether labor that is on the job already is charged on top: the same hours may be meant."""
    stands = list(job.charges.filter(struck_at=None, kind="labor", origin=None))
    if stands and any(line.kind == "labor" for line in lines):
        hours = plain_decimal(sum((one.quantity for one in stands), Decimal(0)))
        said = f"Labor is charged on this job already (quantity {hours}). The estimate’s labor comes on top of it."
        ask_once(f"labor {hours} on {job.number}", said, field="options", tick="Charge both")
