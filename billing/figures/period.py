"""Which days a figure is of: days of the shop's calendar, whole weeks of it unless somebody says otherwise."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

from vessels.wording import date_words
from web.typed import day_asked

WEEKS = 13
"""A quarter of a year, this week among it."""
LONGEST = timedelta(days=5 * 366)
EARLIEST = date(1900, 1, 1)


@dataclass(frozen=True)
class Period:
    """Days, both included. ``problem`` says why they are not those that were asked for."""

    first: date
    last: date
    today: date
    zone: ZoneInfo
    problem: str = ""

    @property
    def begin(self) -> datetime:
        """The first moment of the first day."""
        return datetime.combine(self.first, time(), self.zone)

    @property
    def end(self) -> datetime:
        """The first moment after the last day."""
        return datetime.combine(self.last + timedelta(days=1), time(), self.zone)

    @property
    def words(self) -> str:
        """The days in words."""
        return f"{date_words(self.first)} to {date_words(self.last)}"

    @property
    def asked(self) -> str:
        """The same days as the end of an address."""
        return urlencode({"first": self.first.isoformat(), "last": self.last.isoformat()})

    @property
    def weeks(self) -> list[date]:
        """The Mondays of its weeks (ISO 8601), the last one first."""
        monday, found = monday_of(self.last), []
        while monday >= monday_of(self.first):
            found.append(monday)
            monday -= timedelta(days=7)
        return found


def monday_of(day: date) -> date:
    """The Monday of the day's week."""
    return day - timedelta(days=day.weekday())


def week_words(monday: date) -> str:
    """A week by its number (ISO 8601): “2026-W48”."""
    year, week, _ = monday.isocalendar()
    return f"{year}-W{week:02}"


def period_of(asked: Mapping[str, str], today: date, zone: ZoneInfo) -> Period:
    """The days that an address asks for; the last weeks where it asks for none, and with a word where it cannot be."""
    usual = Period(monday_of(today) - timedelta(weeks=WEEKS - 1), today, today, zone)
    texts = [asked.get(name, "").strip() for name in ("first", "last")]
    if not any(texts):
        return usual
    (first, first_unread), (last, last_unread) = (day_asked(text, earliest=EARLIEST, latest=date.max) for text in texts)
    problem = first_unread or last_unread or _problem(first, last, today)
    if problem or first is None or last is None:
        return Period(usual.first, usual.last, today, zone, f"{problem} These are the last {WEEKS} weeks instead.")
    return Period(first, last, today, zone)


def _problem(first: date | None, last: date | None, today: date) -> str:
    if first is None or last is None:
        return "Enter both days."
    if first > last:
        return "The first day comes after the last."
    if last > today:
        return f"{date_words(last)} has not come yet."
    return "That is more than five years: choose fewer." if last - first > LONGEST else ""
