"""A clock that the scenario turns, so that entries are recorded when they are said to have been."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Model
from django.db.models.signals import pre_save
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

    def working_day(self, later: int) -> date:
        """The working day so many working days after the last one."""
        day = self.day(0)
        for _ in range(later):
            day += timedelta(days=2 if day.weekday() == 5 else 1)
        return day

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
        """Let everybody read this clock, and rows that date themselves. Only the demo does so, on an empty database."""
        real = timezone.now
        began = real()

        def dated(instance: Model, **_: Any) -> None:
            """A field's default is the real clock, whatever the module's name says by now."""
            if not instance._state.adding:
                return
            for field in instance._meta.get_fields():
                if getattr(field, "default", None) is real and getattr(instance, field.name) >= began:
                    setattr(instance, field.name, self.now())

        setattr(timezone, "now", self.now)  # noqa: B010  (a plain assignment to a module's function is refused by mypy)
        pre_save.connect(dated, weak=False)
        try:
            yield
        finally:
            pre_save.disconnect(dated)
            setattr(timezone, "now", real)  # noqa: B010
