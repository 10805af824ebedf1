"""How far charges may go: what customers authorized, what the shop allows on top, what a manager decided. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Protocol

from workorders.reckoning import rounded


class Agreed(Protocol):
    """One authorization that stands."""

    @property
    def amount(self) -> Decimal:
        """The sum, with tax."""

    @property
    def adds(self) -> bool:
        """Whether it comes on top of what was authorized before; otherwise it takes its place."""

    @property
    def is_ceiling(self) -> bool:
        """Whether it must not be passed by anything."""

    @property
    def is_open(self) -> bool:
        """Whether it is time and materials with no ceiling: it has no sum, and stops nothing."""


@dataclass(frozen=True)
class Limit:
    """``authorized`` is what the customer agreed to, None where nobody asked; ``allowed`` comes on top of it.

    ``is_open``: the customer agreed to time and materials with no ceiling, so that there is no sum either.
    """

    authorized: Decimal | None
    allowed: Decimal
    up_to: Decimal | None
    is_open: bool = False

    @property
    def sum(self) -> Decimal | None:
        """Where charges stop; None where nothing was authorized, or work has no ceiling."""
        if self.authorized is None:
            return None
        reached = self.authorized + self.allowed
        return reached if self.up_to is None else max(reached, self.up_to)


def limit_of(
    agreed: Iterable[Agreed],
    *,
    percent: Decimal | None,
    amount: Decimal | None,
    up_to: Decimal | None,
    currency: str,
) -> Limit:
    """Where charges stop. ``agreed`` are in the order in which they were noted.

    The shop's tolerance is a percentage, a sum, or the smaller of both. A sum that is not to be exceeded has none.
    """
    authorized: Decimal | None = None
    has_ceiling = is_open = False
    for one in agreed:
        authorized = one.amount + (authorized or Decimal(0)) if one.adds else one.amount
        has_ceiling = one.is_ceiling or (has_ceiling and one.adds)
        is_open = one.is_open or (is_open and one.adds)  # what comes on top of no ceiling has none either
    if is_open:
        return Limit(None, Decimal(0), None, is_open=True)
    if authorized is None:
        return Limit(None, Decimal(0), None)
    said = [rounded(authorized * percent / 100, currency)] if percent is not None else []
    said += [amount] if amount is not None else []
    allowed = Decimal(0) if has_ceiling or not said else min(said)
    return Limit(authorized, allowed, up_to)
