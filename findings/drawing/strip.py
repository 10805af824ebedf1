"""The range strip: a reading beside its limits.

A ruled strip; the allowed band as a toned stretch between two posts; minimum to maximum as a thin bar; the value as a
mark whose shape says the verdict: a filled disk in range, a half-filled diamond near the limit, a crossed square out.
Where the verdict comes from the lowest or the highest, the mark stands there, and an open disk at the value.
"""

from __future__ import annotations

import math
from functools import cache

from django.utils.safestring import SafeString

from findings.drawing.lettering import mono_width, text_width
from findings.drawing.pictures import PRINT, Palette, RangeStrip, Verdict
from findings.drawing.scale import Scale
from findings.drawing.svg import Pen, picture
from web.markup import NOTHING, joined

WIDTH = 380.0
HEIGHT = 76.0
SEEN_HEIGHT = 18.0
"""More where lowest and highest stand under the limits."""
LEFT, RIGHT = 10.0, 370.0
TOP, BOTTOM = 28.0, 48.0
SIZE = 12.5
COLOR_BY_VERDICT = {
    Verdict.IN_RANGE: "action",
    Verdict.NEAR: "second_signal",
    Verdict.OUT: "signal",
    Verdict.NO_LIMITS: "ink",
}


def figures(value: float, decimals: int | None) -> str:
    """A value as it is shown: with the given decimals, else with up to four that say something."""
    if decimals is not None:
        return f"{value:.{decimals}f}"
    return f"{value:.4f}".rstrip("0").rstrip(".")


def strip_sentence(strip: RangeStrip) -> str:
    """The reading against its limits in words."""
    if strip.sentence:
        return strip.sentence
    said = f"{figures(strip.value, strip.decimals)} {strip.unit}"
    if strip.low is not None and strip.value < strip.low:
        return f"{said}, {figures(strip.low - strip.value, strip.decimals)} {strip.unit} below the band"
    if strip.high is not None and strip.value > strip.high:
        return f"{said}, {figures(strip.value - strip.high, strip.decimals)} {strip.unit} above the band"
    return f"{said}, {strip.verdict.value}"


def _strip_scale(strip: RangeStrip) -> Scale:
    """The band in the middle, wide enough that all that was seen is on the paper."""
    shown = [strip.value, strip.low, strip.high, strip.minimum, strip.maximum, strip.nominal]
    known = [value for value in shown if value is not None and math.isfinite(value)] or [0.0]
    low, high = min(known), max(known)
    span = (high - low) or abs(high) * 0.2 or 1.0
    return Scale(low - span * 0.18, high + span * 0.18, LEFT, RIGHT)


def range_strip(strip: RangeStrip, palette: Palette = PRINT) -> SafeString:
    """The strip as a picture."""
    pen, scale = Pen(palette), _strip_scale(strip)
    parts = [pen.box(LEFT, TOP, RIGHT - LEFT, BOTTOM - TOP, fill="surface", stroke="rule")]
    parts += [_rules(pen), _band(pen, scale, strip), _seen(pen, scale, strip)]
    value_at = scale.at(strip.value)
    color = COLOR_BY_VERDICT[strip.verdict]
    own = Verdict.NO_LIMITS if strip.by else strip.verdict
    parts.append(pen.line(value_at, TOP - 6, value_at, BOTTOM + 6, stroke=COLOR_BY_VERDICT[own], thick=2))
    middle = (TOP + BOTTOM) / 2
    parts.append(_mark(pen, value_at, middle, own, COLOR_BY_VERDICT[own]))
    for name, extreme in (("lowest", strip.minimum), ("highest", strip.maximum)):
        if name in strip.by and extreme is not None:
            parts.append(_mark(pen, scale.at(extreme), middle, strip.verdict, color))
    parts.append(_value_label(pen, value_at, strip, color))
    parts.append(_limit_labels(pen, scale, strip))
    seen = seen_words(strip)
    if seen:
        parts.append(pen.text(LEFT, BOTTOM + 20 + SEEN_HEIGHT, seen, size=SIZE, color="soft_ink"))
    size = (WIDTH, HEIGHT + (SEEN_HEIGHT if seen else 0))
    said = ", ".join(part for part in (strip_sentence(strip), seen) if part)
    return picture(
        f"{strip.parameter}: {said} ({verdict_words(strip)})", strip.key, size, "drawing drawing-strip", *parts
    )


def verdict_words(strip: RangeStrip) -> str:
    """The verdict, and what it comes from where that is not the value: "out by its lowest"."""
    return f"{strip.verdict.value} by its {' and '.join(strip.by)}" if strip.by else strip.verdict.value


def seen_words(strip: RangeStrip) -> str:
    """The lowest and the highest that were kept: "lowest 20 psi, highest 61 psi over the whole log"."""
    extremes = [("lowest", strip.minimum), ("highest", strip.maximum)]
    said = [f"{name} {figures(one, strip.decimals)} {strip.unit}".rstrip() for name, one in extremes if one is not None]
    return " ".join(part for part in (", ".join(said), strip.seen) if part) if said else ""


@cache
def _rules(pen: Pen) -> SafeString:
    """The ruling of the strip, the same for every strip of a palette."""
    count = 20
    step = (RIGHT - LEFT) / count
    return joined(
        pen.line(LEFT + i * step, BOTTOM - (8 if i % 4 == 0 else 4), LEFT + i * step, BOTTOM, stroke="rule")
        for i in range(1, count)
    )


def _band(pen: Pen, scale: Scale, strip: RangeStrip) -> SafeString:
    """The allowed band; a limit that is not set leaves its side open to the edge."""
    if strip.low is None and strip.high is None:
        return NOTHING
    left = LEFT if strip.low is None else scale.at(strip.low)
    right = RIGHT if strip.high is None else scale.at(strip.high)
    edges = [at for at, limit in ((left, strip.low), (right, strip.high)) if limit is not None]
    drawn = pen.box(left, TOP + 4, right - left, BOTTOM - TOP - 8, fill="rule")
    drawn += joined(pen.line(at, TOP - 2, at, BOTTOM + 4, stroke="ink", thick=2) for at in edges)
    if strip.nominal is not None:
        at = scale.at(strip.nominal)
        drawn += pen.line(at, TOP, at, BOTTOM, stroke="soft_ink", thick=1, dash="2 2")
    return drawn


def _seen(pen: Pen, scale: Scale, strip: RangeStrip) -> SafeString:
    """From the minimum to the maximum that the instrument saw."""
    if strip.minimum is None and strip.maximum is None:
        return NOTHING
    left = scale.at(strip.value if strip.minimum is None else strip.minimum)
    right = scale.at(strip.value if strip.maximum is None else strip.maximum)
    middle = (TOP + BOTTOM) / 2
    ends = pen.line(left, middle - 5, left, middle + 5, stroke="ink", thick=1.5)
    ends += pen.line(right, middle - 5, right, middle + 5, stroke="ink", thick=1.5)
    return pen.line(left, middle, right, middle, stroke="ink", thick=2.5) + ends


def _mark(pen: Pen, x: float, y: float, verdict: Verdict, color: str) -> SafeString:
    """A disk, a half-filled diamond or a crossed square."""
    if verdict is Verdict.NEAR:
        whole = f"M{x:.1f} {y - 9:.1f}L{x + 9:.1f} {y:.1f}L{x:.1f} {y + 9:.1f}L{x - 9:.1f} {y:.1f}Z"
        half = f"M{x:.1f} {y - 9:.1f}L{x + 9:.1f} {y:.1f}L{x:.1f} {y + 9:.1f}Z"
        return pen.path(whole, fill="surface", stroke=color, thick=2) + pen.path(half, fill=color)
    if verdict is Verdict.OUT:
        cross = f"M{x - 7:.1f} {y - 7:.1f}L{x + 7:.1f} {y + 7:.1f}M{x + 7:.1f} {y - 7:.1f}L{x - 7:.1f} {y + 7:.1f}"
        box = pen.box(x - 8, y - 8, 16, 16, fill="surface", stroke=color, thick=2)
        return box + pen.path(cross, stroke=color, thick=2)
    fill = "surface" if verdict is Verdict.NO_LIMITS else color
    way = f"M{x - 7.5:.1f} {y:.1f}a7.5 7.5 0 1 0 15 0a7.5 7.5 0 1 0 -15 0Z"
    return pen.path(way, fill=fill, stroke=color, thick=2)


def _value_label(pen: Pen, x: float, strip: RangeStrip, color: str) -> SafeString:
    value = f"{figures(strip.value, strip.decimals)} {strip.unit}"
    size = SIZE + 2.5
    verdict_gap = 8.0
    value_width = mono_width(value, size)
    verdict = verdict_words(strip)
    width = value_width + verdict_gap + text_width(verdict, size)
    left = min(max(x - value_width / 2, LEFT), RIGHT - width)
    return pen.text(left, TOP - 11, value, size=size, mono=True, weight=600) + pen.text(
        left + value_width + verdict_gap, TOP - 11, verdict, size=size, color=color, weight=600
    )


def limit_extents(scale: Scale, strip: RangeStrip) -> list[tuple[float, float, str]]:
    """Left edge, right edge and words of the labels under the strip, those that would touch left out.

    Limits go before the nominal value, which the sentence and the table can say.
    """
    wanted = [(strip.low, "{}"), (strip.high, "{}"), (strip.nominal, "{} nominal")]
    placed: list[tuple[float, float, str]] = []
    for value, pattern in wanted:
        if value is None:
            continue
        words = pattern.format(figures(value, strip.decimals))
        width = mono_width(words, SIZE)
        left = min(max(scale.at(value) - width / 2, LEFT), RIGHT - width)
        for other_left, other_right, _ in placed[:1]:
            if left < other_right + 6 and left + width > other_left - 6:
                left = min(other_right + 6, RIGHT - width)
        if all(left >= right + 5 or left + width <= begin - 5 for begin, right, _ in placed):
            placed.append((left, left + width, words))
    return placed


def _limit_labels(pen: Pen, scale: Scale, strip: RangeStrip) -> SafeString:
    return joined(
        pen.text(left, BOTTOM + 20, words, size=SIZE, color="soft_ink", mono=True)
        for left, _, words in limit_extents(scale, strip)
    )
