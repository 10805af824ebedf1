"""Readings and limits in templates."""

from __future__ import annotations

from django import template

from engineering.measures import show
from findings.readings import fitting, queries, revising
from findings.readings.models import Reading, SpecCard, SpecLimit

register = template.Library()


@register.filter
def band(limit: SpecLimit) -> str:
    """The limits in words: "30 to 60 psi"."""
    return queries.band_words(limit.low, limit.high, limit.unit)


@register.filter
def nominal(limit: SpecLimit) -> str:
    """The nominal value: "55 psi"; empty where there is none."""
    return "" if limit.nominal is None else show(limit.nominal.normalize(), limit.unit)


@register.filter
def near(limit: SpecLimit) -> str:
    """From where on a value is near."""
    return revising.near_words(limit).removeprefix("near ")


@register.filter
def limit_source(limit: SpecLimit) -> str:
    """The document and page that a limit is taken from."""
    return revising.source_words(limit)


@register.filter
def scope_words(card: SpecCard) -> str:
    """What a card is for within its family; empty for all of it."""
    return fitting.scope_words(card)


@register.filter
def reading_row(reading: Reading) -> queries.ReadingRow:
    """A reading with its sentence and its picture."""
    return queries.reading_row(reading)
