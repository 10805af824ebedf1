"""What each figure's page says, out of what its questions found."""

from __future__ import annotations

from dataclasses import dataclass

from billing.figures.period import Period

PAGE = 25


@dataclass(frozen=True)
class Asked:
    """What a page is asked for: days, the part of the rows behind it (``most`` None: all of them), and by whom."""

    period: Period
    currency: str
    sees_prices: bool
    start: int = 0
    most: int | None = PAGE
