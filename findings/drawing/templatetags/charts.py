"""The charts of recurrence and trend for templates."""

from __future__ import annotations

from django import template
from django.utils.safestring import SafeString

from findings.drawing import charts

register = template.Library()


@register.simple_tag
def holding_chart(one: charts.HoldingPicture) -> SafeString:
    """How repairs hold, as a picture."""
    return charts.holding_chart(one)


@register.simple_tag
def holding_chart_narrow(one: charts.HoldingPicture) -> SafeString:
    """The same for a phone."""
    return charts.holding_chart(one, width=charts.PHONE_WIDTH)


@register.simple_tag
def trend_chart(one: charts.TrendPicture) -> SafeString:
    """A reading over engine hours, as a picture."""
    return charts.trend_chart(one)


@register.simple_tag
def trend_chart_narrow(one: charts.TrendPicture) -> SafeString:
    """The same for a phone."""
    return charts.trend_chart(one, width=charts.PHONE_WIDTH)
