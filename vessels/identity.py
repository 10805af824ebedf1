"""What a control unit last said it was, each of the four by itself: its software says nothing of its serial."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from vessels.models import UnitIdentification
from vessels.wording import day_words

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
