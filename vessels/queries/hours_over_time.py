"""An engine's hours over time, with what told each of them: its meter, and all that was found at known hours."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from itertools import pairwise

from django.utils import timezone

from vessels.log.entries import ShownEntry, shown_entries, telling_hours
from vessels.models import Engine

MOST_ENTRIES = 500
METER_KINDS = frozenset({"hours", "meter-replaced"})
"""Kinds that say what the meter showed."""


@dataclass
class HoursRow:
    """One line of the hours over time: what told them, the true hours, and how many have passed since the line below.

    What was found on one day and job at the same hours stands together: ``others`` are the entries after ``shown``.
    """

    shown: ShownEntry
    since: Decimal | None = None
    others: list[ShownEntry] = field(default_factory=list)

    @property
    def is_of_meter(self) -> bool:
        """Whether somebody entered what the meter showed, and nothing besides."""
        return self.shown.entry.kind in METER_KINDS

    @property
    def source(self) -> str:
        """What the hours came with: "hour meter read", "scan from a CAN log, 3 readings"."""
        told = Counter((one.kind.label, one.hours_from) for one in [self.shown, *self.others])
        return ", ".join(_told(label, read_from, count) for (label, read_from), count in told.items())


@dataclass(frozen=True)
class HoursOverTime:
    """The newest lines, newest first. ``is_cut`` where the log has more of them."""

    rows: Sequence[HoursRow]
    is_cut: bool


def _told(label: str, read_from: str, count: int) -> str:
    words = f"{label[0].lower()}{label[1:]}"
    words = f"{words} {read_from}" if read_from else words
    return words if count == 1 else f"{words} ({count})"


def hours_over_time(engine: Engine) -> HoursOverTime:
    """All that tells the hours of an engine; what was voided or corrected stays, each in a line of its own."""
    found = shown_entries(telling_hours(engine), most=MOST_ENTRIES + 1)
    rows: list[HoursRow] = []
    for one in reversed(found[:MOST_ENTRIES]):
        if rows and _stands_with(rows[-1].shown, one):
            rows[-1].others.append(one)
        else:
            rows.append(HoursRow(one))
    counting = [row for row in rows if row.shown.counts and row.shown.entry.engine_hours is not None]
    for before, row in pairwise(counting):
        hours, older = row.shown.entry.engine_hours, before.shown.entry.engine_hours
        assert hours is not None  # noqa: S101  (picked out above)
        assert older is not None  # noqa: S101
        row.since = hours - older
    return HoursOverTime(rows[::-1], len(found) > MOST_ENTRIES)


def _stands_with(before: ShownEntry, one: ShownEntry) -> bool:
    """Whether two entries say the same hours, of the same day and job, and neither is about the meter itself."""
    first, second = before.entry, one.entry
    if first.kind in METER_KINDS or second.kind in METER_KINDS or not (before.counts and one.counts):
        return False
    days = {timezone.localdate(entry.happened_at) for entry in (first, second)}
    same_way = (first.job_number, before.late) == (second.job_number, one.late)
    return first.engine_hours == second.engine_hours and len(days) == 1 and same_way
