"""A line of a version that is on the job at another sum: what brings the job to the sum of the version."""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from billing.estimates.models import EstimateLine
from workorders.models import Charge
from workorders.money import amount
from workorders.reckoning import rounded


@dataclass(frozen=True)
class Raised:
    """``voided`` are charges that one at the sum of the version takes the place of; none of them is invoiced.

    Where some of the line is invoiced (``fixed``), ``rest`` is what is left of the sum for the charge in their place:
    before tax and before a discount of the whole, zero or more.
    """

    line: EstimateLine
    voided: Sequence[Charge]
    fixed: Sequence[Charge]
    rest: Decimal

    def hours(self, currency: str) -> tuple[Decimal, Decimal] | None:
        """Quantity and price of the rest, where the line has more of what is invoiced at the same price."""
        line = self.line
        if line.quantity is None or line.unit_price is None or line.discount_percent or line.discount_amount:
            return None
        if any(one.unit_price != line.unit_price or one.discount is not None for one in self.fixed):
            return None
        more = line.quantity - sum((one.quantity for one in self.fixed), Decimal(0))
        fits = more > 0 and rounded(more * line.unit_price, currency) == self.rest
        return (more, line.unit_price) if fits else None


def price_of(charge: Charge, currency: str) -> Decimal:
    """What a charge comes to with its own discount, without tax."""
    whole = amount(charge, currency)
    return whole - (charge.discount.of(whole, currency) if charge.discount is not None else Decimal(0))


def standing_sum(charges: Sequence[Charge], currency: str) -> Decimal:
    """What some charges come to with their own discounts, without tax."""
    return sum((price_of(one, currency) for one in charges), Decimal(0))


def at_sum(line: EstimateLine, charges: Sequence[Charge], currency: str) -> EstimateLine:
    """A line as it stands on the job: at what its charges come to, whatever the version says."""
    found = copy(line)
    found.quantity, found.unit_price = Decimal(1), standing_sum(charges, currency)
    found.discount_percent = found.discount_amount = None
    return found


def raised(line: EstimateLine, charges: Sequence[Any], price: Decimal, currency: str) -> Raised | None:
    """How the charges of a line come to its price in a version; None where they do, or where that is done by hand.

    ``charges`` have their marks. By hand it is where more of the line is invoiced than it comes to now, as that is
    credited, and where it is a core charge, which is given back as it was charged.
    """
    if standing_sum(charges, currency) == price or line.is_core or any(one.is_core for one in charges):
        return None
    fixed = [one for one in charges if one.mark is not None and one.mark.is_fixed]
    rest = price - standing_sum(fixed, currency)
    if rest < 0:
        return None
    return Raised(line, [one for one in charges if one not in fixed], fixed, rest)
