"""What is open, and where money is taken from: pure arithmetic over sums, without database or request."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import TypeVar

K = TypeVar("K")
NOTHING = Decimal(0)


@dataclass(frozen=True)
class Balance:
    """What became of an invoice: all that was paid on it, what of that was set free again, credited, written off."""

    total: Decimal
    paid: Decimal = NOTHING
    freed: Decimal = NOTHING
    credited: Decimal = NOTHING
    written_off: Decimal = NOTHING

    @property
    def kept(self) -> Decimal:
        """What was paid on it and still pays it."""
        return self.paid - self.freed

    @property
    def open(self) -> Decimal:
        """What is still owed. Below zero it would be owed to the customer, which the acts do not let be."""
        return self.total - self.kept - self.credited - self.written_off

    @property
    def most_credit(self) -> Decimal:
        """The most that can still be credited: what was neither credited nor written off."""
        return self.total - self.credited - self.written_off

    @property
    def settled(self) -> str:
        """How an invoice came to have nothing open, in words; empty while something is."""
        if self.open:
            return ""
        if not self.total:
            return "over nothing"
        whole = {"paid": self.kept, "credited": self.credited, "written off": self.written_off}
        parts = [word for word, sum_ in whole.items() if sum_]
        return parts[0] if len(parts) == 1 else " and ".join(f"partly {word}" for word in parts)

    def set_free_by(self, credit: Decimal) -> Decimal:
        """What of the payments a credit sets free: what is more than is open."""
        return max(credit - self.open, NOTHING)


def taken_from(amount: Decimal, purses: Iterable[tuple[K, Decimal]]) -> list[tuple[K, Decimal]]:
    """Take a sum out of purses in their order, each to its bottom before the next; empty ones are passed by.

    Raises:
        ValueError: the sum is below zero, or there is not that much in them.
    """
    if amount < 0:
        raise ValueError(f"{amount} cannot be taken from anything")
    taken, left = [], amount
    for key, holds in purses:
        part = min(left, holds)
        if part > 0:
            taken.append((key, part))
            left -= part
    if left > 0:
        raise ValueError(f"{left} of {amount} is not there")
    return taken
