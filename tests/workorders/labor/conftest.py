"""A clock that the tests set, and a job with two lines."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

if TYPE_CHECKING:
    from tests.cast import Cast
    from workorders.models import Job, JobLine

ZONE = ZoneInfo("America/New_York")
"""The zone that a shop has before it says another."""


def local(text: str) -> datetime:
    """A time by the shop's clock, such as "2026-03-10 08:00"."""
    return datetime.fromisoformat(text).replace(tzinfo=ZONE)


@pytest.fixture
def now(monkeypatch: pytest.MonkeyPatch) -> Callable[[str], datetime]:
    """Set what time it is, by the shop's clock; before it is set, Tuesday morning."""

    def turn(text: str) -> datetime:
        moment = local(text)
        monkeypatch.setattr(timezone, "now", lambda: moment)
        return moment

    turn("2026-03-10 08:00")
    return turn


@pytest.fixture
def job(now: Callable[[str], datetime], cast: Cast) -> Job:
    """A job of the cast's boat with two lines."""
    from workorders.actions import open_job

    return open_job(by=cast.desk, vessel=cast.vessel, concerns=["Will not hold 3000 rpm", "Bilge pump runs often"])


@pytest.fixture
def lines(job: Job) -> list[JobLine]:
    """The lines of the job."""
    return list(job.lines.select_related("job__vessel").order_by("position"))
