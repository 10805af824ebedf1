"""Engine hours as people read them: one way for pages, log, pictures and reports."""

from __future__ import annotations

from decimal import Decimal

from engineering.canonical import plain_decimal


def hours_words(hours: Decimal) -> str:
    """Hours with thousands separated and no empty decimals: "1,204.5 h", "84 h"."""
    return f"{Decimal(plain_decimal(hours)):,f} h"
