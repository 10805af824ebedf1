"""What else an owner is reminded of beside service due. Upper apps register theirs in ``ready``."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from web.registry import Registry


@dataclass(frozen=True)
class Besides:
    """One section of the reminder list and of letters, such as work that was put off.

    ``of`` gets the keys of boats and answers with sentences by boat, in a fixed number of queries; no sum stands in
    them. An owner is listed for service due; this is told with it.
    """

    key: str
    title: str
    of: Callable[[Sequence[int]], Mapping[int, Sequence[str]]]
    position: int = 10


_sections: Registry[Besides] = Registry(lambda section: section.key)
register = _sections.register


def told_besides(vessels: Sequence[int]) -> dict[int, list[tuple[str, list[str]]]]:
    """By boat, the sections that have something to tell: title and sentences."""
    found: dict[int, list[tuple[str, list[str]]]] = {}
    for section in _sections.in_order():
        for vessel, sentences in section.of(vessels).items():
            if sentences:
                found.setdefault(vessel, []).append((section.title, list(sentences)))
    return found
