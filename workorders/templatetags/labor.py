"""What pages say of hours of work."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import UUID

from django import template

from engineering.canonical import plain_decimal
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


@register.simple_tag
def job_hours(labor: JobLabor, *, with_rest: bool = False) -> str:
    """The hours of a job as the middle of a sentence: worked, charged for it, and labor that was charged by hand.

    ``with_rest`` adds what is not charged yet, and what was worked where labor was charged by hand: whether that pays
    for it is not on record.
    """
    told, by_hand = [f"worked {hours_words(labor.clocked)}"], ""
    if labor.charged_hours or not labor.all_by_hand:
        told.append(f"charged for it {sold_hours(labor.charged_hours)}")
    if with_rest and (labor.uncharged or not labor.all_by_hand):
        told.append(f"not charged yet {hours_words(labor.uncharged)}")
    if labor.all_by_hand:
        besides = " besides" if labor.charged_hours else ""
        by_hand = f"; labor charged by hand{besides}: quantity {plain_decimal(labor.all_by_hand)}"
        by_hand += f", of it {plain_decimal(labor.for_job)} for the job as a whole" if labor.for_job else ""
    if with_rest and labor.beside_hand:
        more = " more" if labor.charged_hours else ""
        by_hand += f"; it may pay for {hours_words(labor.beside_hand)}{more} that were worked"
    return f"{', '.join(told)}{by_hand}"


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
