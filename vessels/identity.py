"""What a control unit last said it was, each of the four by itself: its software says nothing of its serial."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from vessels.models import UnitIdentification
from vessels.wording import day_words

MOST_SERIALS = 4
IDENTITY = ("serial", "hardware", "software", "calibration")


@dataclass(frozen=True)
class Identity:
    """The four, empty where they were never read, and when each was."""

    serial: str = ""
    hardware: str = ""
    software: str = ""
    calibration: str = ""
    read_at: tuple[tuple[str, datetime], ...] = ()

    @property
    def at(self) -> datetime | None:
        """When any of them was read last."""
        return max((at for _, at in self.read_at), default=None)

    @property
    def earlier(self) -> list[str]:
        """Which of them were not read then, but before: "serial read Aug 15, 2023"."""
        return [f"{name} read {day_words(at)}" for name, at in self.read_at if at != self.at]

    def hint(self, name: str) -> str:
        """What one of them was last, beside a field that stays empty: nobody has read it now."""
        at = dict(self.read_at).get(name)
        return f"Last {getattr(self, name)}, {day_words(at)}." if at else ""


def identity_of(newest_first: Iterable[UnitIdentification]) -> Identity:
    """What the identifications say together, which are given newest first."""
    values: dict[str, str] = {}
    read_at: dict[str, datetime] = {}
    for one in newest_first:
        for name in IDENTITY:
            if getattr(one, name) and name not in values:
                values[name], read_at[name] = getattr(one, name), one.entry.happened_at
    return Identity(**values, read_at=tuple((name, read_at[name]) for name in IDENTITY if name in read_at))


@dataclass(frozen=True)
class SerialRead:
    """A serial number that a unit was logged with, and when."""

    serial: str
    at: datetime


def another_unit_words(reads: Iterable[SerialRead], *, since: datetime, until: datetime | None = None) -> str:
    """That scans since may be of another unit, as the serial number became another one; empty where it did not.

    ``reads`` are in order of time. A change counts that was read ``since`` then, and no later than ``until``.
    """
    runs = _runs(one for one in reads if until is None or one.at <= until)
    first = next((index for index, (_, began, _) in enumerate(runs) if index and began >= since), None)
    if first is None:
        return ""
    before, _, last_read = runs[first - 1]
    told = [f"{before} on {day_words(last_read)}", *(f"{serial} on {day_words(at)}" for serial, at, _ in runs[first:])]
    if len(told) > MOST_SERIALS:
        told = [*told[:2], f"{len(told) - 3} others in between", told[-1]]
    return (
        f"The unit’s serial number was logged as {', '.join(told[:-1])} and {told[-1]}: scans since "
        "the first of these may be of another unit, and what another unit does not list is not proven gone."
    )


def _runs(reads: Iterable[SerialRead]) -> Sequence[tuple[str, datetime, datetime]]:
    """The serial numbers one after the other, each with when it was read first and last before the next one."""
    runs: list[tuple[str, datetime, datetime]] = []
    for one in reads:
        if not one.serial:
            continue
        if runs and _squeezed(runs[-1][0]) == _squeezed(one.serial):
            runs[-1] = (runs[-1][0], runs[-1][1], one.at)
        else:
            runs.append((one.serial, one.at, one.at))
    return runs


def _squeezed(serial: str) -> str:
    """Without what one person writes in a serial number and another does not."""
    return "".join(filter(str.isalnum, serial)).casefold()
