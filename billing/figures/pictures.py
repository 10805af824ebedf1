"""Bars beside their names: the picture of each of the shop's figures.

A bar is as long as what it stands for. What is within it, or against it, is a second, thinner bar under the first;
from the shortest to the longest of several runs a thin line.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.safestring import SafeString

from findings.drawing.lettering import fitted_text, mono_width, text_width
from findings.drawing.pictures import PRINT, Palette
from findings.drawing.scale import Scale
from findings.drawing.svg import Pen, picture

WIDTH, PHONE_WIDTH = 760.0, 340.0
SIZE, EDGE, AIR = 13.0, 2.0, 10.0
ROW, STACKED_ROW = 30.0, 48.0
MOST_NAME = 230.0
MOST_BARS = 27


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar: its name, what it stands for, and the same in words. ``second`` is the thinner bar beneath it."""

    name: str
    value: float
    words: str
    second: float | None = None
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class BarsPicture:
    """Bars in their order. ``sentence`` names the picture for those who hear it; the others say what is drawn how."""

    key: str
    sentence: str
    bars: Sequence[Bar]
    first_is: str = ""
    second_is: str = ""
    line_is: str = ""


def bars_chart(one: BarsPicture, palette: Palette = PRINT, *, width: float = WIDTH) -> SafeString:
    """The bars; on a picture for a phone the names stand above their bars where they are long."""
    pen, shown = Pen(palette), list(one.bars)[:MOST_BARS]
    names = max((text_width(bar.name, SIZE) for bar in shown), default=0.0)
    words = max((mono_width(bar.words, SIZE) for bar in shown), default=0.0)
    is_stacked = min(names, MOST_NAME) + words > width * 0.6
    left = EDGE if is_stacked else EDGE + min(names, MOST_NAME) + AIR
    right = width - EDGE if is_stacked else width - EDGE - words - AIR
    longest = max((max(bar.value, bar.second or 0.0, bar.high or 0.0) for bar in shown), default=0.0)
    across = Scale(0.0, longest or 1.0, left, right)
    row, parts, top = (STACKED_ROW if is_stacked else ROW), _legend(pen, one), _legend_height(one)
    for place, bar in enumerate(shown):
        above = top + place * row
        parts += _row(pen, bar, across, above, (width, words), is_stacked=is_stacked)
    height = top + len(shown) * row + EDGE
    key, css_class = one.key, "drawing drawing-bars"
    if width < WIDTH:
        key, css_class = f"{key}-narrow", f"{css_class} is-narrow"
    return picture(one.sentence, key, (width, height), css_class, *parts)


def _row(
    pen: Pen, bar: Bar, across: Scale, above: float, room: tuple[float, float], *, is_stacked: bool
) -> list[SafeString]:
    """One bar with its name and its words; ``room`` is the picture's width, and what of it the longest words take."""
    width, words = room
    name_room = width - 2 * EDGE - words - AIR if is_stacked else across.left - EDGE - AIR
    line = above + (15 if is_stacked else 19)
    top = above + (22 if is_stacked else 6)
    parts = [
        pen.text(EDGE, line, fitted_text(bar.name, SIZE, name_room), size=SIZE),
        pen.text(width - EDGE, line, bar.words, size=SIZE, mono=True, anchor="end"),
        pen.box(across.left, top, across.at(bar.value) - across.left, 12, fill="action"),
    ]
    if bar.second is not None:
        parts.append(pen.box(across.left, top + 13, across.at(bar.second) - across.left, 5, fill="signal"))
    if bar.low is not None and bar.high is not None:
        parts.append(pen.line(across.at(bar.low), top + 16, across.at(bar.high), top + 16, stroke="ink", thick=1.5))
        parts += [
            pen.line(across.at(end), top + 13, across.at(end), top + 19, stroke="ink", thick=1.5)
            for end in (bar.low, bar.high)
        ]
    return parts


def _legend_height(one: BarsPicture) -> float:
    return 8.0 + 18.0 * sum(bool(words) for words in (one.first_is, one.second_is, one.line_is))


def _legend(pen: Pen, one: BarsPicture) -> list[SafeString]:
    """What is drawn how, a line each."""
    parts: list[SafeString] = []
    line = 14.0
    for words, kind in ((one.first_is, "action"), (one.second_is, "signal"), (one.line_is, "")):
        if not words:
            continue
        if kind:
            thick = 10.0 if kind == "action" else 5.0
            parts.append(pen.box(EDGE, line - 4 - thick / 2, 22, thick, fill=kind))
        else:
            parts.append(pen.line(EDGE, line - 4, EDGE + 22, line - 4, stroke="ink", thick=1.5))
        parts.append(pen.text(EDGE + 30, line, words, size=SIZE, color="soft_ink"))
        line += 18.0
    return parts
