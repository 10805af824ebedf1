"""How the report writes hours, days and figures."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from django import template
from django.utils import timezone
from django.utils.formats import date_format

from engineering.canonical import plain_decimal

register = template.Library()
UNKNOWN = "not known"


@register.filter
def hours(value: Decimal | None) -> str:
    """Engine hours: "1,204.5 h"."""
    return UNKNOWN if value is None else f"{value:,.1f} h"


@register.filter
def day(value: datetime | None) -> str:
    """A day in the shop's zone: "Mar 4, 2026"."""
    return UNKNOWN if value is None else date_format(timezone.localtime(value), "M j, Y")


@register.filter
def moment(value: datetime | None) -> str:
    """A time in the shop's zone: "Mar 4, 2026, 2:10 PM"."""
    return UNKNOWN if value is None else date_format(timezone.localtime(value), "M j, Y, g:i A")


@register.filter
def at_hours(value: datetime, engine_hours: Decimal | None) -> str:
    """Where something stands in the engine's life: hours and day, or the day alone."""
    return day(value) if engine_hours is None else f"{hours(engine_hours)}, {day(value)}"


@register.filter
def figure(value: Decimal | None) -> str:
    """A decimal without trailing zeros."""
    return "" if value is None else plain_decimal(value)
