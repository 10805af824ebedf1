"""How the report writes hours, days and figures."""

from __future__ import annotations

import re
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal

from django import template
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.safestring import SafeString

from engineering.canonical import plain_decimal
from engineering.days import days_words
from engineering.hours import hours_words
from engineering.measures import convert, show
from findings.reports import instruments
from findings.reports.record import ScanFacts
from web.markup import filled, joined

register = template.Library()
UNKNOWN = "not known"
_FIGURE = r"[0-9](?:[0-9.,/]*[0-9])?"
_WITH_UNIT = re.compile(
    rf"(?<![\w.]){_FIGURE}(?: to {_FIGURE})? (?:°[FC]|psi|kPa|bar|inHg|[kM]?Ω|ohms?|m?V|m?A|Ah|k?W|hp|rpm|Hz|in|ft"
    r"|[cm]?m|mi|kn|mph|m?L|gal(?:lons?)?|qt|quarts?|lbs?|kg|oz|N·m|lbf·ft|ft·lbf|h|hours?|min|s|%)(?![\w])"
)


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
def days(value: int) -> str:
    """Days of the calendar: "1 day", "12 days"."""
    return days_words(value)


@register.filter
def figure(value: Decimal | None) -> str:
    """A decimal without trailing zeros."""
    return "" if value is None else plain_decimal(value)


@register.filter
def kept_together(text: str) -> SafeString:
    """A text in which no figure parts from its unit at the end of a line: "12 V", "176 °F", "15 psi"."""
    pieces: list[str] = []
    end = 0
    for match in _WITH_UNIT.finditer(text):
        pieces += [text[end : match.start()], filled('<span class="rp-kept">{}</span>', match[0])]
        end = match.end()
    return joined([*pieces, text[end:]])


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
