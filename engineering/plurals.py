"""Words beside a count: “1 line”, “3 lines”."""

from __future__ import annotations


def plural(count: int, one: str, many: str = "") -> str:
    """The word as it goes with a count: “line” with 1, “lines” with 0, 2 or more; ``many`` where no “s” makes it."""
    return one if count == 1 else many or f"{one}s"


def counted(count: int, one: str, many: str = "") -> str:
    """So many of something, thousands separated: “1 line”, “0 lines”, “1,204 lines”."""
    return f"{count:,} {plural(count, one, many)}"
