"""Two charts over engine hours: the share of repairs that still hold, and a reading's trend to its limit.

A ruled sheet with hours along the bottom. What is seen is drawn in ink, what is worked out in the color of action, what
is not known beyond the record is left blank.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.safestring import SafeString

from findings.drawing.pictures import PRINT, Palette
from findings.drawing.scale import Scale, Tick, hour_ticks
from findings.drawing.svg import Pen, picture
from web.markup import NOTHING

WIDTH, HEIGHT = 760.0, 300.0
LEFT, RIGHT, TOP, BOTTOM = 66.0, 742.0, 22.0, 250.0
SIZE = 13.0
PHONE_WIDTH = 340.0
HOURS_ROOM, VALUES_ROOM = 90.0, 42.0


@dataclass(frozen=True, slots=True)
class Step:
    """The share still holding from an hour on, with its bounds; ``least`` where it may be less than ``share``."""

    hours: float
    share: float
    low: float
    high: float
    least: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldingPicture:
    """How repairs hold. The first of `steps` begins at 0 hours; `longest` is where the record ends.

    `sentence` names the picture for those who hear it.
    """

    key: str
    sentence: str
    steps: Sequence[Step]
    longest: float
    median: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TrendPicture:
    """Readings over hours, all in one unit; the line where there is a trend, and where it meets its limit.

    `line` has hours and value of its two ends; `meets` has the soonest and the latest hours, and whether the latest are
    certain.
    """

    key: str
    sentence: str
    unit: str
    points: Sequence[tuple[float, float]]
    low: float | None = None
    high: float | None = None
    line: tuple[tuple[float, float], tuple[float, float]] | None = None
    limit: float | None = None
    meets: tuple[float, float, bool] | None = None


def holding_chart(one: HoldingPicture, palette: Palette = PRINT, *, width: float = WIDTH) -> SafeString:
    """The share of repairs still holding, as steps, with the bounds as a toned band.

    Where scans leave the share open, the least that it can be is a dashed line of steps below it. A picture for a phone
    is less wide, and its letters keep their size.
    """
    pen = Pen(palette)
    across = Scale(0.0, max(one.longest, 1.0), LEFT, width - WIDTH + RIGHT)
    up = Scale(0.0, 1.0, BOTTOM, TOP)
    marks = [Tick(share / 100, f"{share}%") for share in (0, 25, 50, 75, 100)]
    steps = list(one.steps)
    ends = [*(step.hours for step in steps[1:]), one.longest]
    parts = [_sheet(pen, across, up, marks, "hours since the repair", right=across.right)]
    parts += [
        pen.box(across.at(step.hours), up.at(step.high), across.at(end) - across.at(step.hours),
                up.at(step.low) - up.at(step.high), fill="rule")
        for step, end in zip(steps, ends, strict=True)
    ]  # fmt: skip
    if one.median is not None:
        parts.append(
            pen.line(across.at(one.median), up.at(0.5), across.at(one.median), BOTTOM, stroke="ink", dash="3 3")
        )
        parts.append(pen.line(LEFT, up.at(0.5), across.at(one.median), up.at(0.5), stroke="ink", dash="3 3"))
        parts.append(
            pen.text(LEFT + 8, up.at(0.5) + 17, f"half back by {_figure(one.median)} h", size=SIZE, weight=600)
        )
    if any(step.least is not None and step.least < step.share for step in steps):
        least = [step.share if step.least is None else step.least for step in steps]
        parts.append(pen.path(_stairs(least, ends, across, up), stroke="action", thick=1.5, dash="5 4"))
    parts.append(pen.path(_stairs([step.share for step in steps], ends, across, up), stroke="action", thick=2.5))
    return _picture(one.sentence, one.key, width, parts)


def _picture(sentence: str, key: str, width: float, parts: Sequence[SafeString]) -> SafeString:
    """The parts as one picture; one for a phone has a name of its own, as both stand on the page."""
    css_classes = "drawing drawing-chart"
    if width < WIDTH:
        key, css_classes = f"{key}-narrow", f"{css_classes} is-narrow"
    return picture(sentence, key, (width, HEIGHT), css_classes, *parts)


def _stairs(shares: Sequence[float], ends: Sequence[float], across: Scale, up: Scale) -> str:
    steps = zip(shares, ends, strict=True)
    return f"M{LEFT:.1f} {TOP:.1f}" + "".join(f"V{up.at(share):.1f}H{across.at(end):.1f}" for share, end in steps)


def trend_chart(one: TrendPicture, palette: Palette = PRINT, *, width: float = WIDTH) -> SafeString:
    """Readings as disks, limits as posts across, the trend as a line, and the hours in which it meets its limit.

    A picture for a phone is less wide, and its letters keep their size.
    """
    pen, right = Pen(palette), width - WIDTH + RIGHT
    across, up = _trend_scales(one, right)
    marks = hour_ticks(up.low, up.high, max(2, int((BOTTOM - TOP) / VALUES_ROOM)))
    parts = [_sheet(pen, across, up, marks, "engine hours", right=right), _limits(pen, one, up, right)]
    if one.line is not None:
        (from_h, from_value), (to_h, to_value) = one.line
        last_h = one.points[-1][0]
        at_last = from_value + (to_value - from_value) * (last_h - from_h) / (to_h - from_h)
        parts.append(_stroke(pen, across, up, (from_h, from_value), (last_h, at_last), dash=""))
        parts.append(_stroke(pen, across, up, (last_h, at_last), (to_h, to_value), dash="7 5"))
    parts += [_dot(pen, across.at(hours), up.at(value)) for hours, value in one.points]
    if one.meets is not None and one.limit is not None:
        parts.append(_meeting(pen, across, up.at(one.limit), one.meets))
    parts.append(pen.text(LEFT, TOP - 9, one.unit, size=SIZE, color="soft_ink"))
    return _picture(one.sentence, one.key, width, parts)


def _trend_scales(one: TrendPicture, right: float) -> tuple[Scale, Scale]:
    """Scales that show every reading, the line, and the limits that leave the readings their room."""
    hours = [hours for hours, _ in one.points]
    values = [value for _, value in one.points]
    if one.line is not None:
        hours += [end[0] for end in one.line]
        values += [end[1] for end in one.line]
    if one.meets is not None:
        hours += one.meets[:2]
    spread = max(values) - min(values)
    middle = sum(values) / len(values)
    for limit in (one.low, one.high):
        if limit is not None and (abs(limit - middle) <= 4 * spread or limit == one.limit or not spread):
            values.append(limit)
    return _scale(hours, LEFT + 8, right - 8), _scale(values, BOTTOM - 8, TOP + 8)


def _scale(values: Sequence[float], begin: float, end: float) -> Scale:
    low, high = min(values), max(values)
    if high <= low:
        room = abs(high) * 0.1 or 1.0
        low, high = low - room, high + room
    return Scale(low, high, begin, end)


def _sheet(pen: Pen, across: Scale, up: Scale, marks: Sequence[Tick], name: str, *, right: float) -> SafeString:
    """Paper, rules, and the words along both edges."""
    drawn = pen.box(LEFT, TOP, right - LEFT, BOTTOM - TOP, fill="surface", stroke="rule")
    for tick in marks:
        y = up.at(tick.at)
        drawn += pen.line(LEFT, y, right, y, stroke="rule")
        drawn += pen.text(LEFT - 8, y + 4.5, tick.label, size=SIZE, color="soft_ink", mono=True, anchor="end")
    for tick in hour_ticks(across.low, across.high, max(2, int((across.right - across.left) / HOURS_ROOM))):
        x = across.at(tick.at)
        drawn += pen.line(x, BOTTOM, x, BOTTOM + 6, stroke="soft_ink")
        drawn += pen.text(x, BOTTOM + 20, tick.label, size=SIZE, color="soft_ink", mono=True, anchor="middle")
    return drawn + pen.text(right, BOTTOM + 40, name, size=SIZE, color="soft_ink", anchor="end")


def _limits(pen: Pen, one: TrendPicture, up: Scale, right: float) -> SafeString:
    drawn = NOTHING
    for limit, words in ((one.low, "at least"), (one.high, "at most")):
        if limit is None or not up.low <= limit <= up.high:
            continue
        y = up.at(limit)
        said = f"{words} {_figure(limit)} {one.unit}".strip()
        above = y - 6 if words == "at least" else y + 16
        drawn += pen.line(LEFT, y, right, y, stroke="signal", thick=2)
        drawn += pen.text(LEFT + 8, above, said, size=SIZE, color="signal", weight=600)
    return drawn


def _stroke(
    pen: Pen, across: Scale, up: Scale, begin: tuple[float, float], end: tuple[float, float], *, dash: str
) -> SafeString:
    places = across.at(begin[0]), up.at(begin[1]), across.at(end[0]), up.at(end[1])
    if dash:
        return pen.line(*places, stroke="action", thick=2.5, dash=dash)
    return pen.line(*places, stroke="action", thick=2.5)


def _dot(pen: Pen, x: float, y: float) -> SafeString:
    return pen.path(f"M{x - 4.5:.1f} {y:.1f}a4.5 4.5 0 1 0 9 0a4.5 4.5 0 1 0 -9 0Z", fill="ink")


def _meeting(pen: Pen, across: Scale, y: float, meets: tuple[float, float, bool]) -> SafeString:
    """The hours in which the line meets its limit: a bar on the limit, open to the right where no end is certain."""
    soonest, latest, is_certain = meets
    left, right = across.at(soonest), across.at(latest)
    drawn = pen.line(left, y, right, y, stroke="ink", thick=6) + pen.line(
        left, y - 9, left, y + 9, stroke="ink", thick=2
    )
    if is_certain:
        return drawn + pen.line(right, y - 9, right, y + 9, stroke="ink", thick=2)
    return drawn + pen.path(
        f"M{right - 7:.1f} {y - 8:.1f}L{right:.1f} {y:.1f}L{right - 7:.1f} {y + 8:.1f}", stroke="ink", thick=2
    )


def _figure(value: float) -> str:
    """A value with four figures at most, and no exponent."""
    if not value:
        return "0"
    places = max(0, 3 - math.floor(math.log10(abs(value))))
    text = f"{value:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
