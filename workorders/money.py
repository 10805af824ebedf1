"""What a charge comes to, and money in words. Adding up is ``workorders.reckoning``."""

from __future__ import annotations

from decimal import Decimal
from functools import cache
from typing import Protocol

from babel.numbers import format_currency, get_currency_symbol

from workorders.reckoning import ChargeKind, Discount, rounded, step_of

__all__ = [
    "ChargeKind",
    "Priced",
    "amount",
    "currency_sign",
    "money_words",
    "rounded",
    "step_of",
]

LOCALE = "en_US"
MINUS = "−\u2060"
"""A minus and a word joiner: between a minus and the sign of a currency a line may end otherwise (UAX 14, PR ÷ PR)."""


class Priced(Protocol):
    """Anything with a price: the facts that a total needs."""

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

    @property
    def discount(self) -> Discount | None:
        """Its own discount."""

    @property
    def is_core(self) -> bool:
        """Whether it is a core charge or its return, which no discount of the whole is on."""


def amount(charge: Priced, currency: str = "USD") -> Decimal:
    """Quantity times price, rounded once."""
    return rounded(charge.quantity * charge.unit_price, currency)


def money_words(value: Decimal, currency: str) -> str:
    """A sum as people write it: $1,940.00, €12.50, ¥1,940, −$5.00.

    What Babel writes but for the sign of what is below zero, which is a minus as pages and papers set it elsewhere, and
    does not stand at the end of a line; for a sum in whole steps of its currency at a tenth of the cost, as pages write
    them by the hundred.
    """
    sign, places = _written(currency)
    if not isinstance(value, Decimal) or not value.is_finite() or value.as_tuple().exponent < -places:  # type: ignore[operator]
        return format_currency(value, currency, locale=LOCALE).replace("-", MINUS)
    return f"{MINUS if value.is_signed() else ''}{sign}{value.copy_abs():,.{places}f}"


@cache
def _written(currency: str) -> tuple[str, int]:
    """How the library writes sums of a currency: what stands before the figures, and how many places they have."""
    before, _, places = format_currency(0, currency, locale=LOCALE).partition("0")
    return before, len(places.removeprefix("."))


def currency_sign(currency: str) -> str:
    """The sign that stands beside a price field: $, €, CA$."""
    return get_currency_symbol(currency, locale=LOCALE)
