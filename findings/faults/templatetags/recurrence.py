"""Recurrence of one fault for templates: worked from the history that the page has loaded, without a query."""

from __future__ import annotations

from django import template

from engineering.faults import FaultHistory
from engineering.recurrence import ComingBack, NotEnough, away_of, coming_back

register = template.Library()


@register.filter
def recurrence(history: FaultHistory) -> ComingBack | NotEnough:
    """Whether the fault of a history is coming back more often, as a sentence with what it rests on."""
    return coming_back(away_of(history))
