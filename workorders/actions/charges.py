"""What is charged on a job. A charge is never changed: it is voided, stays visible, and another is added.

Charges are between the shop and the customer of the day. They are kept with who and when, and not in the vessel's
log, which stays with the boat when it is sold.
"""

from __future__ import annotations

import uuid
from decimal import Decimal

from django.db.models import Sum
from django.utils import timezone

from commands.envelope import command, tell
from commands.questions import ask_once
from commands.refusals import Conflict, Refused
from engineering.canonical import plain_decimal
from parts.models import Part
from staff.models import Person
from staff.policy import Permission
from staff.queries import shop_profile
from web.versions import apply_changes
from workorders.actions.checking import lock_job, refuse_ended, refuse_unsound
from workorders.guards import ask_before_adding, ask_before_striking, let_follow, move_to_replacement, one_touch
from workorders.labor.sold import move_hours
from workorders.models import Charge, Job, JobLine
from workorders.money import ChargeKind, amount, money_words, step_of
from workorders.queries.sums import counted_charges
from workorders.taxes.queries import taxes_of
from workorders.voiding import tell_total, void

MOST_STEPS = 10_000_000
"""What one line seldom comes to, in the currency's smallest step: $100,000.00. Common practice, no source."""
MOST_AMOUNT = Decimal("9999999.99")
"""What no line comes to."""
ONE_DISCOUNT = "A discount is a percentage or a sum, and not both."
CORE, RETURNED = "Core charge: ", "Core returned"
MOST_HOURS = 500
"""Hours of labor that one line seldom has. Common practice, no source."""


@command("add_charge", needs=Permission.SET_PRICES, writes_to="job.vessel")
def add_charge(
    *,
    by: Person,
    job: Job,
    kind: ChargeKind | str,
    line: JobLine | None = None,
    description: str = "",
    quantity: Decimal = Decimal("1"),
    unit_price: Decimal | None = None,
    taxable: bool | None = None,
    part: Part | None = None,
    discount_percent: Decimal | None = None,
    discount_amount: Decimal | None = None,
    is_core: bool = False,
    entry_id: uuid.UUID | None = None,
) -> Charge:
    """Put a charge on a job, less a discount of its own: a percentage or a sum.

    What is left out is taken from what the shop knows: the labor rate, a catalog part's description and price. A
    charge that is not ``taxable`` is left out of every tax; which taxes a kind of charge has, the shop's taxes say.
    A core charge (``is_core``) is a part's, has its own price and no discount, and is given back by ``return_core``.

    Raises:
        Refused: a price or a description is missing and nothing says what it should be, the discount is more than
            the charge, or the job is closed.
    """
    stored = lock_job(job)
    refuse_ended(stored)
    if line is not None and line.job_id != job.pk:
        raise Refused("This line is on another job.", fields={"line": "Choose a line of this job."})
    kind = _known_kind(kind)
    if part is not None and kind is not ChargeKind.PART:
        raise Refused("Only a part is charged from the catalog.", fields={"part": "Leave it empty, or choose Part."})
    if is_core:
        _refuse_odd_core(kind, unit_price, discount_percent, discount_amount)
    charge = Charge(
        job=stored,
        line=line,
        kind=kind.value,
        part=part,
        description=_described(kind, description.strip(), part, is_core=is_core),
        quantity=quantity,
        unit_price=_priced(kind, unit_price, part),
        taxable=(stored.tax_on_labor if kind is ChargeKind.LABOR else True) if taxable is None else taxable,
        discount_percent=discount_percent or None,
        discount_amount=discount_amount or None,
        is_core=is_core,
        added_by=by,
        added_at=timezone.now(),
        entry_id=entry_id,
    )
    refuse_unsound(charge, ["description", "quantity", "unit_price", "discount_percent", "discount_amount"])
    _refuse_odd_discount(charge)
    _ask_about_much(charge)
    ask_before_adding(by, charge)
    before = counted_charges(stored)
    charge.save()
    tell_total(stored, before, [*before, charge])
    return charge


@command("strike_charge", needs=Permission.SET_PRICES, writes_to="charge.job.vessel")
def strike_charge(*, by: Person, charge: Charge, entry_id: uuid.UUID | None = None) -> Charge:
    """Void a charge of a job. It stays visible, struck through, and is not counted; what is a share of it follows."""
    stored = lock_job(charge.job)
    charge.refresh_from_db()
    if charge.is_struck:
        return charge
    refuse_ended(stored)
    _refuse_returned(charge)
    ask_before_striking(by, charge)
    before = counted_charges(stored)
    with one_touch(by, stored) as is_whole:
        void(by=by, job=stored, charges=[charge])
        if is_whole:
            let_follow(by, stored)
    tell_total(stored, before, counted_charges(stored))
    return charge


@command("charge_again", needs=Permission.SET_PRICES, writes_to="charge.job.vessel")
def charge_again(*, by: Person, charge: Charge, entry_id: uuid.UUID | None = None) -> Charge:
    """Put a charge that was voided or credited on the job once more, as it was, with its hours and its fitted part.

    What is a share of it follows.

    Raises:
        Refused: it counts, it was charged again already, its hours or its part stand in another charge, the job is
            closed, or it passes what was authorized.
    """
    old = Charge.objects.select_related("job", "line", "part").get(pk=charge.pk)
    if not old.is_struck:
        raise Refused(f"“{old}” is on the job and counts. Void it first, if it is to be charged again.")
    if old.again.filter(struck_at=None).exists():
        raise Refused(f"“{old}” was charged again already.")
    if old.core_of is not None:
        raise Refused(f"“{old}” gives a core charge back: note the return beside that charge.")
    before = counted_charges(old.job)
    with one_touch(by, old.job) as is_whole:
        new = add_charge(
            by=by,
            job=old.job,
            kind=old.kind,
            line=old.line,
            description=old.description,
            quantity=old.quantity,
            unit_price=old.unit_price,
            taxable=old.taxable,
            part=old.part,
            discount_percent=old.discount_percent,
            discount_amount=old.discount_amount,
            is_core=old.is_core,
            entry_id=entry_id,
        )
        new.again_of, new.origin = old, old.origin
        new.save(update_fields=["again_of", "origin"])
        move_hours(old, new)
        move_to_replacement(old, new)
        if is_whole:
            let_follow(by, old.job)
    tell_total(old.job, before, counted_charges(old.job))
    return new


@command("return_core", needs=Permission.SET_PRICES, writes_to="charge.job.vessel")
def return_core(
    *, by: Person, charge: Charge, quantity: Decimal | None = None, entry_id: uuid.UUID | None = None
) -> Charge:
    """Give a core charge back, as the old part came back: a charge below zero at the same price, taxed as that was.

    ``quantity`` is how many came back, above zero; all that are not given back yet where it is not said.

    Raises:
        Refused: it is no core charge, it was voided, more come back than were charged, or the job is closed.
    """
    stored = lock_job(charge.job)
    refuse_ended(stored)
    charge.refresh_from_db()
    if not charge.is_core or charge.is_return:
        raise Refused(f"“{charge}” is no core charge.")
    if charge.is_struck:
        raise Refused(f"“{charge}” was voided, so there is nothing to give back.")
    left = cores_left(charge)
    back = left if quantity is None else quantity
    if not left:
        raise Refused(f"“{charge}” was given back already.")
    if not 0 < back <= left:
        many = "one is" if left == 1 else f"{plain_decimal(left)} are"
        sentence = f"No more than {many} left to come back of “{charge}”."
        if back <= 0:
            sentence = "Enter how many came back."
        raise Refused(sentence, fields={"quantity": sentence})
    made = Charge(
        job=stored, line=charge.line, kind=charge.kind, part=charge.part, quantity=back, unit_price=charge.unit_price,
        description=return_words(charge.description), taxable=charge.taxable, is_core=True,
        core_of=charge, added_by=by, added_at=timezone.now(), entry_id=entry_id,
    )  # fmt: skip
    refuse_unsound(made, ["quantity"])
    made.quantity = -back
    ask_before_adding(by, made)
    before = counted_charges(stored)
    made.save()
    tell_total(stored, before, [*before, made])
    return made


def return_words(description: str) -> str:
    """What stands on the line that gives a core charge back."""
    return f"{RETURNED}: {description.removeprefix(CORE)}"[:160]


def cores_left(charge: Charge) -> Decimal:
    """How many of a core charge did not come back yet."""
    returned = charge.returns.filter(struck_at=None).aggregate(sum=Sum("quantity"))["sum"]
    return charge.quantity + (returned or Decimal(0))


@command("change_job_discount", needs=Permission.SET_PRICES, writes_to="job.vessel")
def change_job_discount(
    *,
    by: Person,
    job: Job,
    percent: Decimal | None = None,
    amount: Decimal | None = None,
    is_ahead: bool = False,
    seen_version: int | None = None,
    seen_percent: Decimal | None = None,
    seen_amount: Decimal | None = None,
    entry_id: uuid.UUID | None = None,
) -> Job:
    """Take a percentage or a sum off everything that is charged on a job; neither takes off nothing.

    A sum is never more than what is charged, unless it is set ahead of the charges that it is taken from
    (``is_ahead``). Invoices that were made keep the share that they have. ``seen_version`` is the version of the job
    that the person saw, with the discount that stood there: without it, nothing was looked at.

    Raises:
        Conflict: somebody saved another discount since ``seen_version``. Nothing is written.
        Refused: both are given, it is no discount, it is more than what it is taken from, or the job has ended.
    """
    stored = lock_job(job)
    refuse_ended(stored)
    counted, currency = counted_charges(stored), shop_profile().currency
    found = taxes_of(stored).reckon(counted, currency=currency)
    if seen_version is not None and seen_version != stored.version:
        _refuse_overwriting(stored, seen_version, (seen_percent, seen_amount), (percent, amount))
    stored.discount_percent, stored.discount_amount = percent or None, amount or None
    if stored.discount_percent and stored.discount_amount:
        raise Refused(ONE_DISCOUNT, fields={"amount": ONE_DISCOUNT})
    refuse_unsound(stored, ["discount_percent", "discount_amount"])
    if stored.discount_amount and not is_ahead:
        _refuse_more_than(found.discountable, stored.discount_amount, currency)
    apply_changes(
        stored,
        seen_version=stored.version,
        changes={"discount_percent": stored.discount_percent, "discount_amount": stored.discount_amount},
        by=by,
    )
    after = taxes_of(stored).reckon(counted, currency=currency).total
    tell(job_total=[str(found.total), str(after)])
    return stored


def _refuse_overwriting(
    stored: Job, seen_version: int, seen: tuple[Decimal | None, ...], wanted: tuple[Decimal | None, ...]
) -> None:
    """A discount that somebody saved meanwhile is shown beside the one that is wanted; the two are never mixed.

    Who saved it is known where the job was saved once since then.
    """
    held = (stored.discount_percent, stored.discount_amount)
    if held in (tuple(one or None for one in seen), tuple(one or None for one in wanted)):
        return
    pairs = {name: pair for name, *pair in zip(("percent", "amount"), held, wanted, strict=True) if pair[0] != pair[1]}
    raise Conflict(
        "Somebody saved another discount meanwhile. Compare both, then save again.",
        theirs={name: theirs for name, (theirs, _) in pairs.items()},
        mine={name: mine for name, (_, mine) in pairs.items()},
        by=str(stored.changed_by) if stored.version == seen_version + 1 else "somebody else",
    )


def _refuse_more_than(of: Decimal, discount: Decimal, currency: str) -> None:
    """A discount of the whole is no more than what it is taken from, as on an estimate."""
    if discount <= of:
        return
    sentence = (
        f"A discount of {money_words(discount, currency)} is more than the {money_words(of, currency)} that it is "
        "taken from."
        if of > 0
        else "Nothing is charged that this discount could be taken from."
    )
    raise Refused(sentence, fields={"amount": sentence})


def _refuse_odd_core(
    kind: ChargeKind, unit_price: Decimal | None, percent: Decimal | None, off: Decimal | None
) -> None:
    """A core charge is of a part, at a price of its own, as it is given back whole."""
    fields = {}
    if kind is not ChargeKind.PART:
        fields["is_core"] = "Only a part has a core charge. Choose Part."
    if unit_price is None:
        fields["unit_price"] = "Enter the core charge: it is not the part’s own price."
    if percent or off:
        fields["discount_percent"] = "A core charge has no discount: it is given back as it was charged."
    if fields:
        raise Refused(next(iter(fields.values())), fields=fields)


def _refuse_returned(charge: Charge) -> None:
    """What was given back stays charged, or it would be given back twice."""
    if charge.returns.filter(struck_at=None).exists():
        raise Refused(f"“{charge}” was given back. Void its return first.")


def _refuse_odd_discount(charge: Charge) -> None:
    """One discount, and no more than what it is taken from."""
    if charge.discount_percent and charge.discount_amount:
        raise Refused(ONE_DISCOUNT, fields={"discount_amount": ONE_DISCOUNT})
    currency = shop_profile().currency
    due = amount(charge, currency)
    if charge.discount_amount and charge.discount_amount > due:
        sentence = f"The discount is more than the {money_words(due, currency)} that it is taken from."
        raise Refused(sentence, fields={"discount_amount": sentence})


def _ask_about_much(charge: Charge) -> None:
    """Ask once about what a shop seldom charges on one line: a point or a digit may be a slip."""
    currency = shop_profile().currency
    due = amount(charge, currency)
    if due > MOST_AMOUNT:
        sentence = f"That comes to {money_words(due, currency)}, which is more than one charge can be."
        raise Refused(sentence, fields={"unit_price": sentence})
    if charge.kind == ChargeKind.LABOR and charge.quantity > MOST_HOURS:
        said = f"{plain_decimal(charge.quantity)} hours of labor on one line: check the figure."
        ask_once(f"labor of {charge.quantity}", said, field="quantity", tick=f"{plain_decimal(charge.quantity)} hours")
    if due > MOST_STEPS * step_of(currency):
        said = f"That comes to {money_words(due, currency)}: check quantity and price."
        ask_once(f"charge of {due}", said, field="unit_price", tick=money_words(due, currency))


def _known_kind(kind: ChargeKind | str) -> ChargeKind:
    try:
        return ChargeKind(kind)
    except ValueError as error:
        sentence = "Choose what is charged for: labor, a part, sublet work or a fee."
        raise Refused(sentence, fields={"kind": sentence}) from error


def _described(kind: ChargeKind, description: str, part: Part | None, *, is_core: bool) -> str:
    if description:
        return description
    if is_core and part is not None:
        return f"{CORE}{part.number} {part.description}"[:160]
    if part is not None:
        return f"{part.number} {part.description}"[:160]
    if kind is ChargeKind.LABOR:
        return "Labor"
    sentence = "Say what it is for, as it should read on the invoice."
    raise Refused(sentence, fields={"description": sentence})


def _priced(kind: ChargeKind, unit_price: Decimal | None, part: Part | None) -> Decimal:
    if unit_price is not None:
        return unit_price
    if part is not None:
        return part.unit_price
    if kind is ChargeKind.LABOR:
        return shop_profile().labor_rate
    sentence = "Enter a price. Zero is allowed where nothing is charged."
    raise Refused(sentence, fields={"unit_price": sentence})
