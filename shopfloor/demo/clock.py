"""A clock that the scenario turns, so that entries are recorded when they are said to have been."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.utils import timezone


class Clock:
    """Says what time it is in the scenario."""

    def __init__(self, today: date, zone: ZoneInfo) -> None:
        self.today = today
        self.zone = zone
        self.moment = self.at(0, "08:00")

    def day(self, days_ago: int) -> date:
        """The working day so many days ago: the shop is closed on Sundays."""
        day = self.today - timedelta(days=days_ago)
        return day - timedelta(days=1) if day.weekday() == 6 else day

    def at(self, days_ago: int, clock: str) -> datetime:
        """A time of a working day."""
        return datetime.combine(self.day(days_ago), time.fromisoformat(clock), tzinfo=self.zone)

    def turn(self, moment: datetime) -> datetime:
        """Make it this moment."""
        self.moment = moment
        return moment

    def now(self) -> datetime:
        """The scenario's time."""
        return self.moment

    @contextmanager
    def running(self) -> Iterator[None]:
        """Let everybody read this clock. Only the demo does so, on an empty database."""
        real = timezone.now
        setattr(timezone, "now", self.now)  # noqa: B010  (a plain assignment to a module's function is refused by mypy)
        try:
            yield
        finally:
            setattr(timezone, "now", real)  # noqa: B010
