"""What the templates of the log and of hours need."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from django import template
from django.utils.safestring import SafeString

from engineering.canonical import plain_decimal
from engineering.hours import hours_words
from vessels.identity import identity_of
from vessels.log.drawing import corrections_markup, entries_markup, entry_markup, job_link
from vessels.log.entries import ShownEntry
from vessels.wording import known_as, told_words

register = template.Library()


@register.filter
def hours(value: Decimal | None) -> str:
    """Engine hours: 1,204.5 h; nothing for nothing."""
    return "" if value is None else hours_words(value)


register.simple_tag(job_link)
register.simple_tag(corrections_markup, name="corrections")
register.filter("identity", identity_of)
register.filter("told", told_words)
register.filter("known_as", known_as)


@register.simple_tag
def log_entries(entries: Iterable[ShownEntry]) -> SafeString:
    """Entries of the log, newest first."""
    return entries_markup(entries)


@register.simple_tag
def log_entry(shown: ShownEntry, *, is_alone: bool = False) -> SafeString:
    """The inside of one entry; ``is_alone`` where the page is the entry's own."""
    return entry_markup(shown, is_alone=is_alone)


@register.filter
def plain(value: Decimal | None) -> str:
    """A figure as entered, without zeros at its end."""
    return "" if value is None else plain_decimal(value)
