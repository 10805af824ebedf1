"""How the report writes hours, days and figures."""

from __future__ import annotations

from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal

from django import template
from django.utils import timezone
from django.utils.formats import date_format

from engineering.canonical import plain_decimal
from engineering.hours import hours_words
from engineering.measures import convert, show
from findings.reports import instruments
from findings.reports.record import ScanFacts

register = template.Library()
UNKNOWN = "not known"


@register.filter
def hours(value: Decimal | None) -> str:
    """Engine hours: "1,204.5 h"."""
    return UNKNOWN if value is None else hours_words(value)


@register.filter
def day(value: datetime | None) -> str:
    """A day in the shop's zone: "Mar 4, 2026"."""
    return UNKNOWN if value is None else date_format(timezone.localtime(value), "M j, Y")


@register.filter
def moment(value: datetime | None) -> str:
    """A time in the shop's zone: "Mar 4, 2026, 2:10 PM"."""
    return UNKNOWN if value is None else date_format(timezone.localtime(value), "M j, Y, g:i A")


@register.filter
def clock(value: datetime) -> str:
    """A time of the day in the shop's zone: "2:10 PM"."""
    return date_format(timezone.localtime(value), "g:i A")


@register.filter
def at_hours(value: datetime, engine_hours: Decimal | None) -> str:
    """Where something stands in the engine's life: hours and day, or the day alone."""
    return day(value) if engine_hours is None else f"{hours(engine_hours)}, {day(value)}"


@register.filter
def figure(value: Decimal | None) -> str:
    """A decimal without trailing zeros."""
    return "" if value is None else plain_decimal(value)


@register.filter
def made_with(scan: ScanFacts) -> instruments.MadeWith:
    """What a scan was read with."""
    return instruments.made_with(scan)


@register.filter
def feet_and_meters(meters: Decimal) -> str:
    """A length as the trade writes it, and in the SI: "24 ft 6 in (7.47 m)"."""
    inches = int(convert(meters, "m", "in").to_integral_value(ROUND_HALF_UP))
    feet = f"{inches // 12} ft {inches % 12} in" if inches % 12 else f"{inches // 12} ft"
    return f"{feet} ({show(meters.quantize(Decimal('0.01'), ROUND_HALF_UP), 'm')})"


@register.filter
def horsepower_and_kilowatts(kilowatts: Decimal) -> str:
    """A power in both units that nameplates use: "370 hp (276 kW)"."""
    return f"{show(convert(kilowatts, 'kW', 'hp'), 'hp', significant=3)} ({show(kilowatts, 'kW', significant=3)})"
