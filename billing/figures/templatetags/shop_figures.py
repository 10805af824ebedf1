"""The pictures of the shop's figures for templates."""

from __future__ import annotations

from django import template
from django.utils.safestring import SafeString

from billing.figures.pictures import PHONE_WIDTH, BarsPicture, bars_chart

register = template.Library()


@register.simple_tag
def bars(one: BarsPicture) -> SafeString:
    """Bars beside their names."""
    return bars_chart(one)


@register.simple_tag
def bars_narrow(one: BarsPicture) -> SafeString:
    """The same for a phone."""
    return bars_chart(one, width=PHONE_WIDTH)
