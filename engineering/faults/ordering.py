"""The evidence of one fault in order of happening, each scan and each clear once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, tzinfo
from decimal import Decimal

from engineering.codes.code import CodeStatus
from engineering.faults.evidence import Absent, Cleared, Evidence, Seen, Worked

_RANK = {CodeStatus.ACTIVE: 0, CodeStatus.PENDING: 1, CodeStatus.STORED: 2, CodeStatus.PERMANENT: 3}


@dataclass(frozen=True, slots=True)
class Sighting:
    """One scan that listed the code: its strongest status, and whether it listed a permanent copy."""

    seen: Seen
    permanent: bool


def in_order(evidence: Iterable[Evidence], zone: tzinfo | None) -> list[Sighting | Absent | Cleared | Worked]:
    """The evidence in order of happening, each scan and each clear once, contradicted absences left out.

    Its times are put into the zone whose days are counted.
    """
    seen: dict[str, list[Seen]] = {}
    absent: dict[str, list[Absent]] = {}
    cleared: dict[str, list[Cleared]] = {}
    worked: dict[str, list[Worked]] = {}
    for item in evidence:
        if item.at.utcoffset() is None:
            raise ValueError("Evidence needs a time with a zone.")
        if zone is not None:
            item = replace(item, at=item.at.astimezone(zone))  # noqa: PLW2901  (the same evidence, by the shop's clock)
        if isinstance(item, Seen):
            seen.setdefault(item.key, []).append(item)
        elif isinstance(item, Absent):
            absent.setdefault(item.key, []).append(item)
        elif isinstance(item, Worked):
            worked.setdefault(item.key, []).append(item)
        else:
            cleared.setdefault(item.key, []).append(item)
    sightings = [_sighting_of(group) for group in seen.values()]
    clears = [min(group, key=_order) for group in cleared.values()]
    works = [min(group, key=_order) for group in worked.values()]
    seen_at = {sighting.seen.at for sighting in sightings}
    cleared_at = {clear.at for clear in clears}
    absences = [
        first
        for first in (min(group, key=_order) for group in absent.values())
        if first.at not in seen_at or first.at in cleared_at
    ]
    return sorted([*sightings, *works, *absences, *clears], key=_order_of)


def _order(item: Evidence) -> tuple[datetime, bool, Decimal, str]:
    """What decides between two versions of one piece of evidence: the earlier, then the one with fewer hours."""
    return item.at, item.hours is None, item.hours or Decimal(0), item.visit or ""


def _sighting_of(group: list[Seen]) -> Sighting:
    strongest = min(group, key=lambda item: (_RANK[item.status], *_order(item)))
    return Sighting(strongest, any(item.status is CodeStatus.PERMANENT for item in group))


_TURN = {Worked: 1, Cleared: 2, Absent: 3}


def _order_of(item: Sighting | Absent | Cleared | Worked) -> tuple[datetime, int, int, str]:
    if isinstance(item, Sighting):
        # Of two scans at one instant the weaker status first, so that the stronger one stands.
        return item.seen.at, 0, -_RANK[item.seen.status], item.seen.key
    return item.at, _TURN[type(item)], 0, item.key
