"""How many orders of so many things have so many pairs out of order: what exact rank tests count."""

from __future__ import annotations

from functools import cache


@cache
def orders_by_inversions(count: int) -> tuple[int, ...]:
    """The number of orders of ``count`` things with 0, 1, 2 … pairs out of order; all are ``count`` factorial."""
    ways = [1]
    for size in range(2, count + 1):
        longer = [0] * (len(ways) + size - 1)
        for inversions, number in enumerate(ways):
            for more in range(size):
                longer[inversions + more] += number
        ways = longer
    return tuple(ways)
