"""Whether scans of a unit may be of another box: its serial number became another one since a fault was first seen."""

from __future__ import annotations

from collections.abc import Sequence

from findings.faults.queries import FaultSeen
from vessels.identity import another_unit_words
from vessels.queries.serials import serials_of


def another_unit_of(seen: FaultSeen) -> str:
    """That scans since may be of another unit; empty where nothing says so. One query."""
    if not seen.history.episodes:
        return ""
    reads = serials_of([seen.fault.unit_id])[seen.fault.unit_id]
    return another_unit_words(reads, since=seen.history.episodes[0].opened_at)


def units_replaced(faults: Sequence[FaultSeen]) -> list[tuple[str, str]]:
    """The units of these faults of which that is so since the first of them, each by name. One query."""
    with_history = [one for one in faults if one.history.episodes]
    reads = serials_of(one.fault.unit_id for one in with_history)
    units = {one.fault.unit_id: one.fault.unit for one in with_history}
    told = []
    for key, unit in units.items():
        first = min(one.history.episodes[0].opened_at for one in with_history if one.fault.unit_id == key)
        told.append((str(unit), another_unit_words(reads[key], since=first)))
    return [(name, words) for name, words in told if words]
