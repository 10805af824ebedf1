"""What pages say of hours of work."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import UUID

from django import template

from workorders import money
from workorders.labor.queries import JobLabor, LineLabor, counts, hours_words
from workorders.models import JobLine, Stretch

register = template.Library()


@register.filter
def work_hours(minutes: int | None) -> str:
    """Minutes as hours of work: "1.5 h"; what is not known says so."""
    return "not known" if minutes is None else hours_words(minutes)


@register.filter
def sold_hours(hours: Decimal) -> str:
    """Hours that are charged: "2.5 h"."""
    return f"{hours.normalize():f} h"


@register.filter
def of_line(labor: JobLabor, line: JobLine) -> LineLabor | None:
    """The hours of one line."""
    return labor.lines.get(line.pk)


@register.filter
def does_count(stretch: Stretch) -> bool:
    """Whether it was neither corrected nor voided."""
    return counts(stretch)


@register.filter
def in_set(key: UUID, keys: Any) -> bool:
    """Whether a key is among those."""
    return key in keys


@register.simple_tag
def hours_for(labor: JobLabor, rate: Decimal, currency: str) -> str:
    """What the hours that stand in no charge would come to, line by line, each rounded once."""
    sums = (money.rounded(one.offered_hours * rate, currency) for one in labor.offers)
    return money.money_words(sum(sums, Decimal(0)), currency)


@register.simple_tag
def amount_of(hours: Decimal, rate: Decimal, currency: str) -> str:
    """Hours at a rate."""
    return money.money_words(money.rounded(hours * rate, currency), currency)
