"""What changed between two readings of one series beside the value: the unit, and the limits they were judged by. Pure.

A reading keeps the unit it was read in and the limits that it was judged by. Where the next one has others, a page that
puts the two beside each other says so: a value that only changed its unit did not change, and one that is out by the
new limits may have been as good as before.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Any

from engineering.measures import UNITS, convert
from engineering.usual import is_difference
from findings.readings.models import Reading
from findings.readings.queries import afterwards_of_reading, band_words

SAME = 0.005
"""Limits that differ by no more are the same: a card's limits are rounded when they are turned into another unit."""


def changes_between(newer: Reading, older: Reading) -> list[str]:
    """What is different about the newer of two readings of one series, in a few words each."""
    said = []
    if newer.unit != older.unit:
        said.append(f"read in {_label(newer.unit)}, the one before in {_label(older.unit)}")
    is_one = newer.judged_by_id is not None and newer.judged_by_id == older.judged_by_id
    if not (is_one or same_limits(_limits(newer), _limits(older), of=newer.parameter.name)):
        said.append(f"other limits than the one before, which had {_band(older)}")
    elif newer.limits_from != older.limits_from and (newer.low is not None or newer.high is not None):
        said.append("the same limits, from another card than for the one before")
    return said


def with_changes(readings: Sequence[Reading]) -> list[list[str]]:
    """The changes of each reading, newest first, against the next older one of its condition that counts."""
    return [_against_older(reading, readings[index + 1 :]) for index, reading in enumerate(readings)]


def _against_older(reading: Reading, older: Iterable[Reading]) -> list[str]:
    if not _counts(reading):
        return []
    condition = reading.condition.casefold()
    same = (one for one in older if one.condition.casefold() == condition and _counts(one))
    before = next(same, None)
    return changes_between(reading, before) if before is not None else []


def _counts(reading: Reading) -> bool:
    return afterwards_of_reading(reading).replaced is None


def same_limits(one: Mapping[str, Any], other: Mapping[str, Any], *, of: str) -> bool:
    """Whether two pairs of limits of the parameter ``of`` are the same, each in its ``unit``."""
    turned = is_difference(of, one["unit"])
    return all(_same(one[end], one["unit"], other[end], other["unit"], turned=turned) for end in ("low", "high"))


def _same(one: Decimal | None, unit: str, other: Decimal | None, other_unit: str, *, turned: bool) -> bool:
    if one is None or other is None:
        return one is other
    return math.isclose(float(one), float(convert(other, other_unit, unit, is_difference=turned)), rel_tol=SAME)


def _limits(reading: Reading) -> dict[str, Any]:
    return {"low": reading.low, "high": reading.high, "unit": reading.unit}


def _band(reading: Reading) -> str:
    return band_words(reading.low, reading.high, reading.unit) or "none"


def _label(unit: str) -> str:
    return (UNITS[unit].label if unit in UNITS else unit) or "plain numbers"
