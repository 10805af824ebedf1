"""A signature drawn on the screen: its strokes, checked, and as a picture of lines. Pure.

The page sends JSON: a list of strokes, each a list of points ``[x, y]`` in units of a sheet of 1000 by 300.
"""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from itertools import pairwise
from xml.etree.ElementTree import Element, SubElement, tostring

from commands.refusals import Refused

WIDE, HIGH = 1000, 300
MOST_TEXT, MOST_STROKES, MOST_POINTS = 200_000, 300, 12_000
LEAST_LENGTH = 60
"""A dot, or a touch of the sleeve, is no signature. The figure is the house's own."""
NOTHING_DRAWN = "Nothing was drawn. Sign in the box, or note the answer by phone or on paper."
SVG = "http://www.w3.org/2000/svg"
_PEN = {"fill": "none", "stroke": "#000", "stroke-width": "5", "stroke-linecap": "round", "stroke-linejoin": "round"}
Stroke = Sequence[tuple[int, int]]


def strokes_of(text: str) -> list[Stroke]:
    """The strokes that a page sent.

    Raises:
        Refused: nothing was drawn, no more than a dot, or it is not what the page draws.
    """
    if not text.strip():
        raise _refused(NOTHING_DRAWN)
    if len(text) > MOST_TEXT:
        raise _refused("This drawing is too large to be kept. Clear it and sign again.")
    try:
        said = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise _refused("The signature did not come whole. Sign again.") from error
    if not isinstance(said, list) or not all(isinstance(one, list) for one in said):
        raise _refused("The signature did not come whole. Sign again.")
    if len(said) > MOST_STROKES or sum(len(one) for one in said) > MOST_POINTS:
        raise _refused("This drawing is too large to be kept. Clear it and sign again.")
    found: list[Stroke] = [[_point(one) for one in stroke] for stroke in said if stroke]
    if not found:
        raise _refused(NOTHING_DRAWN)
    if sum(_length(one) for one in found) < LEAST_LENGTH:
        raise _refused("This is no more than a dot. Sign in the box.")
    return found


def _point(said: object) -> tuple[int, int]:
    if not isinstance(said, list) or len(said) != 2:
        raise _refused("The signature did not come whole. Sign again.")
    x, y = (_within(value, most) for value, most in zip(said, (WIDE, HIGH), strict=True))
    return x, y


def _within(value: object, most: int) -> int:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise _refused("The signature did not come whole. Sign again.")
    return min(max(round(value), 0), most)


def _length(stroke: Stroke) -> float:
    return sum(math.dist(one, other) for one, other in pairwise(stroke))


def _refused(sentence: str) -> Refused:
    return Refused(sentence, fields={"strokes": sentence})


def svg_of(strokes: Sequence[Stroke]) -> bytes:
    """The strokes as SVG 1.1: lines alone, black on nothing, without a word of text or a reference in it."""
    drawn = Element("svg", xmlns=SVG, viewBox=f"0 0 {WIDE} {HIGH}", width=str(WIDE), height=str(HIGH))
    lines = SubElement(drawn, "g", _PEN)
    for one in strokes:
        points = one if len(one) > 1 else [*one, *one]
        SubElement(lines, "polyline", points=" ".join(f"{x},{y}" for x, y in points))
    return tostring(drawn)
