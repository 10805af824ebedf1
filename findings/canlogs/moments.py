"""When a log was recorded, as far as its own clock can be believed. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo

from engineering.canlog import Clock, LogSummary
from engineering.days import days_between, days_words

OLDEST = timedelta(days=3653)
"""A clock that was never set says 1970, 1980 or 2000: what is older than ten years is not believed. Common practice,
no source."""
AHEAD = timedelta(minutes=10)
LONG = timedelta(days=7)
"""A log from so long before the job is asked about once. Common practice, no source."""


@dataclass(frozen=True)
class Moment:
    """The end of a log, where it can be told, and what to say of it."""

    at: datetime | None
    words: str


def moment_of(summary: LogSummary, *, now: datetime, opened: datetime, zone: tzinfo) -> Moment:
    """When the log ended. Where its clock says nothing, or nothing that can be, the technician is asked.

    A time without a zone is the shop's. That the end lies before the job was opened may be right, and is said.
    """
    if summary.last_at is None or summary.clock not in {Clock.UTC, Clock.LOCAL}:
        return Moment(None, "The log has no date. Say when it was recorded.")
    end = summary.last_at if summary.last_at.tzinfo else summary.last_at.replace(tzinfo=zone)
    said = f"{end.astimezone(zone):%b %-d, %Y, %-I:%M %p}"
    no_zone = " The file names no zone: taken as the shop's time." if summary.clock is Clock.LOCAL else ""
    if end > now + AHEAD:
        return Moment(None, f"The log's clock says {said}, which is in the future.{no_zone} Say when it was recorded.")
    if end < now - OLDEST:
        return Moment(
            None, f"The log's clock says {said}, so it was probably never set. Say when the log was recorded."
        )
    words = f"The end of the log, by its own clock.{no_zone}{_before_job(end, opened, zone)}"
    return Moment(end, f"{words} Check it." if no_zone else words)


def long_before_words(at: datetime, opened: datetime, zone: tzinfo) -> str:
    """That it was long before the job: a clock that was never set, or another boat's log. Empty where it was not."""
    if at >= opened - LONG:
        return ""
    days = days_words(days_between(at, opened, zone))
    return f"{at.astimezone(zone):%b %-d, %Y, %-I:%M %p} is {days} before the job was opened."


def _before_job(end: datetime, opened: datetime, zone: tzinfo) -> str:
    if end >= opened:
        return ""
    days = days_between(end, opened, zone)
    long = f"{days_words(days)} " if days else ""
    return f" That is {long}before the job was opened: check that it is the right log and that its clock was set."
