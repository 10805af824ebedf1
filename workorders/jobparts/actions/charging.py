"""Turning fitted parts into charges: each at most once, and a voided charge frees its part."""

from __future__ import annotations

import uuid
from decimal import Decimal

from commands.envelope import command
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from vessels.log.afterwards import afterwards_of_entry
from vessels.log.evidence import is_effective
from workorders.actions import add_charge
from workorders.actions.checking import lock_job
from workorders.jobparts.models import FittedCharge, PartFitted
from workorders.models import Charge, Job
from workorders.money import ChargeKind

NO_PRICE = "Enter a price: the catalog has none. Zero is allowed where nothing is charged."


@command("charge_fitted", needs=Permission.SET_PRICES, writes_to="fitted.entry.vessel")
def charge_fitted(
    *,
    by: Person,
    fitted: PartFitted,
    unit_price: Decimal | None = None,
    taxable: bool | None = None,
    entry_id: uuid.UUID | None = None,
) -> Charge:
    """Charge a fitted part to its job, at the catalog's price unless another is given.

    Raises:
        Refused: it is charged already, or no longer counts; no price is known; or the job is closed.
    """
    job = _job_of(fitted)
    _refuse_charged_twice(fitted)
    if unit_price is None:
        unit_price = proposed_price(fitted)
        if unit_price is None:
            raise Refused(NO_PRICE, fields={"unit_price": NO_PRICE})
    charge = add_charge(
        by=by,
        job=job,
        kind=ChargeKind.PART,
        line=fitted.line,
        description=invoice_words(fitted),
        quantity=fitted.quantity,
        unit_price=unit_price,
        taxable=taxable,
        part=fitted.part,
        entry_id=entry_id,
    )
    FittedCharge.objects.create(charge=charge, fitted_id=fitted.first_key, as_charged=fitted)
    return charge


@command("match_charge", needs=Permission.SET_PRICES, writes_to="fitted.entry.vessel")
def match_charge(*, by: Person, fitted: PartFitted, charge: Charge, entry_id: uuid.UUID | None = None) -> FittedCharge:
    """Say that a charge which is on the job already is for this fitted part.

    Raises:
        Refused: one of them has its other half, no longer counts, or is of another job.
    """
    job = _job_of(fitted)
    _refuse_charged_twice(fitted)
    charge = Charge.objects.get(pk=charge.pk)
    if charge.job_id != job.pk or charge.kind != ChargeKind.PART.value:
        raise Refused("Choose a charge for a part on this job.", fields={"charge": "Choose one from the list."})
    if charge.is_struck:
        raise Refused("This charge was voided.", fields={"charge": "Choose one that counts."})
    if FittedCharge.objects.filter(charge=charge).exists():
        raise Refused("This charge is for another fitted part already.", fields={"charge": "Choose another one."})
    return FittedCharge.objects.create(charge=charge, fitted_id=fitted.first_key, as_charged=fitted)


def proposed_price(fitted: PartFitted) -> Decimal | None:
    """The catalog's price; None where there is none, and a price of zero is none."""
    price = fitted.part.unit_price if fitted.part is not None else None
    return price or None


def invoice_words(fitted: PartFitted) -> str:
    """How a fitted part reads on the invoice: what is not new is said, and its serial number."""
    said = [" ".join(word for word in (fitted.number, fitted.description) if word)]
    if fitted.condition != "new":
        said.append(fitted.condition)
    if fitted.serial:
        said.append(f"serial {fitted.serial}")
    whole = ", ".join(said)
    if len(whole) <= 160:
        return whole
    rest = ", ".join(["", *said[1:]])
    return said[0][: 160 - len(rest)] + rest


def part_follows(old: Charge, new: Charge) -> None:
    """The fitted part of a voided charge stands in the one that takes its place.

    Raises:
        Refused: it is charged otherwise, or no longer counts.
    """
    link = FittedCharge.objects.filter(charge=old).select_related("as_charged__entry").first()
    if link is not None:
        _refuse_charged_twice(link.as_charged)
        FittedCharge.objects.create(charge=new, fitted_id=link.fitted_id, as_charged=link.as_charged)


def _job_of(fitted: PartFitted) -> Job:
    """The job of a fitted part, locked, so that two people cannot charge it at once."""
    return lock_job(Job.objects.get(log=fitted.entry))


def _refuse_charged_twice(fitted: PartFitted) -> None:
    if not is_effective(fitted.entry):
        later = afterwards_of_entry(fitted.entry).words
        raise Refused(f"“{fitted}” was {later}. Open the Lines tab again.")
    if FittedCharge.objects.filter(fitted_id=fitted.first_key, charge__struck_at=None).exists():
        raise Refused(f"“{fitted}” is already charged.")
