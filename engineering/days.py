"""Days as people count them: by the calendar, and not in pieces of 24 hours."""

from __future__ import annotations

from datetime import datetime, tzinfo

from engineering.plurals import counted


def days_between(start: datetime, end: datetime, zone: tzinfo | None = None) -> int:
    """Calendar days from one moment to another: 0 within a day, 1 from yesterday at 5 PM to today at 8 AM.

    The calendar is that of ``zone``, or of the zone that ``end`` is given in. Negative where the end comes first.

    Raises ValueError for a time without a zone, which belongs to no day.
    """
    if start.utcoffset() is None or end.utcoffset() is None:
        raise ValueError("Days are counted between times with a zone.")
    there = zone or end.tzinfo
    return (end.astimezone(there).date() - start.astimezone(there).date()).days


def days_words(days: int) -> str:
    """Days in words: "1 day", "12 days"."""
    return counted(days, "day")


def after_days_words(days: int) -> str:
    """When something followed: "the same day", "after 1 day", "after 12 days"."""
    return f"after {days_words(days)}" if days else "the same day"
