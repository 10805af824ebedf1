"""A person's hours day by day, with what lies over each other."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from itertools import groupby
from uuid import UUID

from workorders.labor.models import Stretch
from workorders.labor.queries import counts


@dataclass
class Day:
    """One day: all that was entered, and the minutes of what counts."""

    day: date
    stretches: list[Stretch]
    minutes: int = 0
    overlaps: set[UUID] = field(default_factory=set)


def days_of(stretches: Iterable[Stretch]) -> list[Day]:
    """Stretches, which come by day, under their days. Those that lie over another of the same person are marked."""
    made = []
    for day, of_day in groupby(stretches, key=lambda one: one.day):
        its = list(of_day)
        counted = [one for one in its if counts(one)]
        made.append(Day(day, its, sum(one.minutes or 0 for one in counted), overlaps_among(counted)))
    return made


def overlaps_among(stretches: Iterable[Stretch]) -> set[UUID]:
    """Which of these stretches of one person lie over each other."""
    timed = sorted(
        (one.started_at, one.ended_at, one.pk)
        for one in stretches
        if one.started_at is not None and one.ended_at is not None
    )
    found: set[UUID] = set()
    last = None
    for one in timed:
        if last is not None and one[0] < last[1]:
            found |= {last[2], one[2]}
        last = one if last is None or one[1] > last[1] else last
    return found
