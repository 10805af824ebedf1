"""Hours and lengths in templates of findings."""

from __future__ import annotations

from decimal import Decimal

from django import template

from engineering.days import after_days_words
from engineering.hours import hours_words
from findings.faults import fault_markup
from findings.faults.holding import rederiving

register = template.Library()
register.simple_tag(fault_markup.episodes_markup, name="fault_episodes")
register.simple_tag(fault_markup.work_markup, name="fault_work")
register.simple_tag(fault_markup.evidence_markup, name="fault_evidence")
register.simple_tag(fault_markup.sisters_markup, name="fault_sisters")
register.simple_tag(rederiving, name="rederiving_faults")


@register.filter
def after_days(value: int) -> str:
    """When a fault was back: "after 12 days", "the same day"."""
    return after_days_words(value)


@register.filter
def as_hours(value: Decimal | None) -> str:
    """Engine hours with their unit; nothing for none."""
    return "" if value is None else hours_words(value)
