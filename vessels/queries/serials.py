"""Which serial numbers control units were logged with, one after the other."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime
from typing import NamedTuple

from vessels.identity import SerialRead
from vessels.log.evidence import SUPERSEDED
from web.rows import rows


class _Read(NamedTuple):
    unit_id: int
    serial: str
    at: datetime


_SERIALS = f"""
    SELECT said.unit_id, said.serial, entry.happened_at AS at
    FROM vessels_unitidentification said JOIN vessels_logentry entry ON entry.id = said.entry_id
    WHERE said.unit_id = ANY(%(units)s::bigint[]) AND said.serial <> '' AND NOT {SUPERSEDED}
    ORDER BY said.unit_id, entry.happened_at, entry.position
"""  # noqa: S608  (put together from what the program says)


def serials_of(units: Iterable[int]) -> dict[int, list[SerialRead]]:
    """Of each unit the serial numbers that count, in order of time; one query, and none for no units."""
    keys = sorted(set(units))
    found: dict[int, list[SerialRead]] = defaultdict(list)
    for one in rows(_Read, _SERIALS, {"units": keys}) if keys else []:
        found[one.unit_id].append(SerialRead(one.serial, one.at))
    return found
