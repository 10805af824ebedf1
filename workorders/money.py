"""What a job comes to: pure arithmetic in Decimal, without database or request.

The amount of a charge is its quantity times its price, rounded once, half up, to what the currency has in coins.
Everything above it adds rounded amounts. Tax is worked out once, on the sum of the taxed amounts, and rounded once.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum
from typing import Protocol

from babel.numbers import format_currency, get_currency_precision, get_currency_symbol

LOCALE = "en_US"
MOST_PLACES = 2
"""Prices are stored with two decimals, whatever the currency."""


class ChargeKind(StrEnum):
    """What is charged for."""

    LABOR = "labor"
    PART = "part"
    SUBLET = "sublet"
    FEE = "fee"


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


def step_of(currency: str) -> Decimal:
    """The smallest step of a currency that can be stored: 0.01 for USD, 1 for JPY."""
    return Decimal(1).scaleb(-min(get_currency_precision(currency), MOST_PLACES))


def rounded(value: Decimal, currency: str = "USD") -> Decimal:
    """A sum of money rounded half up to the currency's step."""
    return value.quantize(step_of(currency), rounding=ROUND_HALF_UP)


def amount(charge: Priced, currency: str = "USD") -> Decimal:
    """Quantity times price, rounded once."""
    return rounded(charge.quantity * charge.unit_price, currency)


def totals(charges: Iterable[Priced], *, tax_percent: Decimal, currency: str = "USD") -> Totals:
    """Add up charges; those voided must be left out by the caller."""
    by_kind = dict.fromkeys(ChargeKind, rounded(Decimal(0), currency))
    taxed = rounded(Decimal(0), currency)
    for charge in charges:
        due = amount(charge, currency)
        by_kind[ChargeKind(charge.kind)] += due
        if charge.taxable:
            taxed += due
    return Totals(
        labor=by_kind[ChargeKind.LABOR],
        parts=by_kind[ChargeKind.PART],
        sublet=by_kind[ChargeKind.SUBLET],
        fees=by_kind[ChargeKind.FEE],
        taxed=taxed,
        tax_percent=tax_percent,
        tax=rounded(taxed * tax_percent / 100, currency),
    )


def money_words(value: Decimal, currency: str) -> str:
    """A sum as people write it: $1,940.00, €12.50, ¥1,940."""
    return format_currency(value, currency, locale=LOCALE)


def currency_sign(currency: str) -> str:
    """The sign that stands beside a price field: $, €, CA$."""
    return get_currency_symbol(currency, locale=LOCALE)
