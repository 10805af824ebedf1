"""A disk without room, wherever it shows."""

from __future__ import annotations

import errno
from collections.abc import Callable, Iterator

DISK_FULL = "53100"  # PostgreSQL's disk_full
SENTENCE = "The disk of the server is full. Make room, then try again."


def is_full_disk(problem: BaseException | None) -> bool:
    """Whether this, or what it came from, is a disk without room."""
    return any(
        (isinstance(one, OSError) and one.errno in {errno.ENOSPC, errno.EDQUOT})
        or getattr(one, "sqlstate", None) == DISK_FULL
        for one in with_causes(problem)
    )


def or_full_disk(sentence: str) -> Callable[[Exception], str]:
    """What to say where background work went wrong: that the disk is full, where that is why, else this."""
    return lambda problem: SENTENCE if is_full_disk(problem) else sentence


def with_causes(problem: BaseException | None) -> Iterator[BaseException]:
    """An exception, what it came from, and so on."""
    seen: set[int] = set()
    while problem is not None and id(problem) not in seen:
        seen.add(id(problem))
        yield problem
        problem = problem.__cause__ or problem.__context__
