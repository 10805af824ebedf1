"""Days, delays and changed fields in words, for sentences that people read."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime
from typing import Any

from django.db import models
from django.utils import timezone
from django.utils.text import Truncator

from engineering.days import days_between, days_words

_MONTHS = ("", "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def day_words(when: datetime) -> str:
    """A day in the shop's zone: Mar 4, 2026."""
    return date_words(timezone.localtime(when))


def date_words(day: date) -> str:
    """A day of the calendar: Mar 4, 2026."""
    return f"{_MONTHS[day.month]} {day.day}, {day.year}"


def short_day_words(day: date) -> str:
    """A day of the calendar where its year goes without saying: Mar 4."""
    return f"{_MONTHS[day.month]} {day.day}"


def weekday_words(day: date) -> str:
    """The same with the day of its week: Wed, Mar 4."""
    return f"{_WEEKDAYS[day.weekday()]}, {short_day_words(day)}"


def moment_words(local: datetime) -> str:
    """A moment of the shop's zone: Mar 4, 2026 2:05 PM."""
    half = "PM" if local.hour > 11 else "AM"
    hour = local.hour % 12 or 12
    return f"{_MONTHS[local.month]} {local.day}, {local.year} {hour}:{local.minute:02} {half}"


def known_as(entry: Any) -> str:
    """What an entry is known by in a sentence about it: of a note, whose own sentence says only that, how it begins."""
    return Truncator(entry.text).chars(90) if entry.kind == "note" and entry.text else str(entry.summary)


def delay_words(start: datetime, end: datetime) -> str:
    """How long something took, in the one unit that fits: 20 min, 3 h, from two days on days of the shop's calendar."""
    minutes = int((end - start).total_seconds() // 60)
    if minutes < 60:
        return f"{minutes} min"
    if minutes < 48 * 60:
        return f"{minutes // 60} h"
    return days_words(days_between(start, end, timezone.get_current_timezone()))


def label_of(record: models.Model, name: str) -> str:
    """A field's label, with a capital."""
    label = str(getattr(record._meta.get_field(name), "verbose_name", name))
    return label[:1].upper() + label[1:]


_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}([ T][0-9:.]+(?:Z|[+-][0-9]{2}:?[0-9]{2})?)?")


def told_words(stored: str) -> str:
    """A value of a change as it was kept, with a day or a moment as people write it: 2026-01-02 is Jan 2, 2026."""
    if not (match := _DAY.fullmatch(stored or "")):
        return stored
    try:
        moment = datetime.fromisoformat(stored)
    except ValueError:
        return stored
    if match[1] is None:
        return f"{_MONTHS[moment.month]} {moment.day}, {moment.year}"
    return moment_words(timezone.localtime(moment if timezone.is_aware(moment) else moment.replace(tzinfo=UTC)))


def value_words(record: models.Model, name: str, value: Any) -> str:
    """A field's value as text; a choice by its label, several records by their names."""
    if value is None:
        return ""
    if isinstance(value, list):
        return ", ".join(map(str, value))
    choices = getattr(record._meta.get_field(name), "flatchoices", None)
    return str(dict(choices).get(value, value)) if choices else str(value)
