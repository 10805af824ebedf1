"""Days, delays and changed fields in words, for sentences that people read."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from django.db import models
from django.utils import timezone

from engineering.days import days_between, days_words

_MONTHS = ("", "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def day_words(when: datetime) -> str:
    """A day in the shop's zone: Mar 4, 2026."""
    return date_words(timezone.localtime(when))


def date_words(day: date) -> str:
    """A day of the calendar: Mar 4, 2026."""
    return f"{_MONTHS[day.month]} {day.day}, {day.year}"


def moment_words(local: datetime) -> str:
    """A moment of the shop's zone: Mar 4, 2026 2:05 PM."""
    half = "PM" if local.hour > 11 else "AM"
    hour = local.hour % 12 or 12
    return f"{_MONTHS[local.month]} {local.day}, {local.year} {hour}:{local.minute:02} {half}"


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


def value_words(record: models.Model, name: str, value: Any) -> str:
    """A field's value as text; a choice by its label, several records by their names."""
    if value is None:
        return ""
    if isinstance(value, list):
        return ", ".join(map(str, value))
    choices = getattr(record._meta.get_field(name), "flatchoices", None)
    return str(dict(choices).get(value, value)) if choices else str(value)
