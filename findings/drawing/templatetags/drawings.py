"""The pictures of findings for templates. The same SVG serves the screen and the PDF."""

from __future__ import annotations

from django import template
from django.utils.safestring import SafeString

from findings.drawing import flags, lanes, strip
from findings.drawing.pictures import FlagState, LanesPicture, RangeStrip

register = template.Library()


@register.simple_tag
def fault_flag(state: str, status: str = "") -> SafeString:
    """The flag of a state, a word of ``FlagState``, with the unit's word where the fault is back.

    A flag is named by `aria-label`, so that it needs no id and may stand on a page as often as it likes.
    """
    known = FlagState(state)
    return flags.fault_flag(known, known.status_told(str(status)))


@register.simple_tag
def fault_lanes(picture: LanesPicture, width: float = lanes.WIDTH) -> SafeString:
    """The fault lanes; on a sheet of paper give `width=700`, so that the letters keep their size."""
    return lanes.fault_lanes(picture, float(width))


@register.simple_tag
def fault_lanes_narrow(picture: LanesPicture) -> SafeString:
    """The fault lanes for a phone: names above their lanes."""
    return lanes.fault_lanes(picture, lanes.PHONE_WIDTH)


@register.simple_tag
def range_strip(strip_input: RangeStrip) -> SafeString:
    """The range strip of a reading."""
    return strip.range_strip(strip_input)
