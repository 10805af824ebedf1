"""Hours and lengths in templates of findings."""

from __future__ import annotations

from decimal import Decimal

from django import template

from findings.faults.wording import hours_words

register = template.Library()


@register.filter
def as_hours(value: Decimal | None) -> str:
    """Engine hours with their unit; nothing for none."""
    return "" if value is None else hours_words(value)
