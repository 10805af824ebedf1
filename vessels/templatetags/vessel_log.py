"""What the templates of the log and of hours need."""

from __future__ import annotations

from decimal import Decimal

from django import template
from django.urls import NoReverseMatch, reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString

from engineering.canonical import plain_decimal
from vessels.wording import hours_words

register = template.Library()


@register.filter
def hours(value: Decimal | None) -> str:
    """Engine hours: 1,204.5 h; nothing for nothing."""
    return "" if value is None else hours_words(value)


@register.simple_tag
def job_link(number: int) -> SafeString | str:
    """A job's number as a link, where the program has a page for jobs."""
    try:
        url = reverse("workorders:job", args=[number])
    except NoReverseMatch:
        return str(number)
    return format_html('<a class="code" href="{}">{}</a>', url, number)


@register.filter
def plain(value: Decimal | None) -> str:
    """A figure as entered, without zeros at its end."""
    return "" if value is None else plain_decimal(value)
