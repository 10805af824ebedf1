"""What a job comes to, and money in words. The adding itself is ``workorders.reckoning``."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Protocol

from babel.numbers import format_currency, get_currency_symbol

from workorders.reckoning import ChargeKind, Item, Tax, reckon, rounded, step_of

__all__ = [
    "ChargeKind",
    "Priced",
    "Totals",
    "amount",
    "currency_sign",
    "money_words",
    "rounded",
    "step_of",
    "totals",
]

LOCALE = "en_US"


class Priced(Protocol):
    """Anything with a price: the four facts that a total needs."""

    @property
    def kind(self) -> str:
        """One of ``ChargeKind``."""

    @property
    def quantity(self) -> Decimal:
        """How many, or how many hours."""

    @property
    def unit_price(self) -> Decimal:
        """The price of one, or the rate of an hour."""

    @property
    def taxable(self) -> bool:
        """Whether tax is due on it."""


@dataclass(frozen=True)
class Totals:
    """What the charges of a job add up to."""

    labor: Decimal
    parts: Decimal
    sublet: Decimal
    fees: Decimal
    taxed: Decimal
    tax_percent: Decimal
    tax: Decimal

    @property
    def subtotal(self) -> Decimal:
        """Everything before tax."""
        return self.labor + self.parts + self.sublet + self.fees

    @property
    def total(self) -> Decimal:
        """What the customer owes."""
        return self.subtotal + self.tax


def amount(charge: Priced, currency: str = "USD") -> Decimal:
    """Quantity times price, rounded once."""
    return rounded(charge.quantity * charge.unit_price, currency)


def totals(charges: Iterable[Priced], *, tax_percent: Decimal, currency: str = "USD") -> Totals:
    """Add up charges; those voided must be left out by the caller."""
    items = [Item(ChargeKind(one.kind), one.quantity, one.unit_price, one.taxable) for one in charges]
    found = reckon(items, taxes=[Tax("tax", "Tax", tax_percent)], currency=currency)
    (tax,) = found.taxes
    return Totals(
        labor=found.by_kind[ChargeKind.LABOR],
        parts=found.by_kind[ChargeKind.PART],
        sublet=found.by_kind[ChargeKind.SUBLET],
        fees=found.by_kind[ChargeKind.FEE],
        taxed=tax.base,
        tax_percent=tax_percent,
        tax=tax.due,
    )


def money_words(value: Decimal, currency: str) -> str:
    """A sum as people write it: $1,940.00, €12.50, ¥1,940."""
    return format_currency(value, currency, locale=LOCALE)


def currency_sign(currency: str) -> str:
    """The sign that stands beside a price field: $, €, CA$."""
    return get_currency_symbol(currency, locale=LOCALE)
