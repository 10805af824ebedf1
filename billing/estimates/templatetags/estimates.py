"""How pages and paper write what a record of an estimate holds as text."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal

from django import template
from django.utils import timezone

from vessels.wording import date_words, moment_words
from workorders.money import money_words

register = template.Library()


@register.filter
def kept_money(value: str | Decimal | None, currency: str) -> str:
    """A sum of money that was kept as text."""
    return "" if value is None else money_words(Decimal(value), currency)


@register.filter
def kept_day(value: str) -> str:
    """A day that was kept as text: Mar 4, 2026."""
    return date_words(date.fromisoformat(value))


@register.filter
def kept_moment(value: str) -> str:
    """A moment that was kept as text, in the zone that is in force: Mar 4, 2026 2:05 PM."""
    return moment_words(timezone.localtime(datetime.fromisoformat(value)))


@register.filter
def is_more(value: str | None) -> bool:
    """Whether a sum that was kept as text is more than nothing."""
    return value is not None and Decimal(value) > 0


@register.filter
def is_some(value: str | None) -> bool:
    """Whether a sum that was kept as text is another than nothing."""
    return value is not None and Decimal(value) != 0
