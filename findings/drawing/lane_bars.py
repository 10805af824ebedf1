"""The shapes in one lane: bars with the flags' patterns, notches, hold lines and the loops of a return."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.safestring import SafeString

from findings.drawing.flags import COLOR_BY_STATE, STITCH
from findings.drawing.lettering import mono_width
from findings.drawing.pictures import Bar, FlagState, Lane
from findings.drawing.scale import Scale
from findings.drawing.spread import Extent, free_labels, spread_bars
from findings.drawing.svg import Pen
from web.markup import NOTHING, joined

BAR_HEIGHT = 16.0
LEAST_BAR = 7.0
LEAST_UNKNOWN = 1.5
UNKNOWN_INSET = 4.0
UNKNOWN_DASH = "2 2"
BAR_GAP = 5.0
ARROW = 9.0
LOOP_HEIGHT = 9.0
LABEL_SIZE = 12.0
LABEL_AIR = 3.0


@dataclass(frozen=True, slots=True)
class PlacedLane:
    """A lane's bars and its other marks in places on the paper."""

    lane: Lane
    bars: list[Extent]
    scale: Scale

    def at(self, value: float) -> float:
        """The place of a value: with its bar where a bar begins or ends there, which may have been moved."""
        for bar, extent in zip(self.ordered, self.bars, strict=True):
            if bar.end == value:
                return extent.right
            if bar.start == value:
                return extent.left
        return self.scale.at(value)

    @property
    def ordered(self) -> list[Bar]:
        """The bars from the first to the last."""
        return sorted(self.lane.bars, key=lambda bar: (bar.start, bar.end is None, bar.end or 0.0))


def placed_lane(lane: Lane, scale: Scale) -> PlacedLane:
    """The lane with its bars kept apart."""
    placed = PlacedLane(lane, [], scale)
    wanted = [
        Extent(scale.at(bar.start), scale.right if bar.end is None else scale.at(bar.end)) for bar in placed.ordered
    ]
    bars = spread_bars(wanted, LEAST_BAR, BAR_GAP, scale.left, scale.right)
    return PlacedLane(lane, bars, scale)


@dataclass(frozen=True, slots=True)
class Loop:
    """A return's loop: from the end of one bar to the beginning of the next, above or under the lane."""

    left: float
    right: float
    is_above: bool
    label: Extent
    words: str
    is_labeled: bool


def loops_of(placed: PlacedLane) -> list[Loop]:
    """The loops in turn above and under the lane, labeled wherever two labels would not touch."""
    made: list[Loop] = []
    for index, back in enumerate(sorted(placed.lane.returns, key=lambda item: (item.returned_at, item.ended_at))):
        left, right = _ends(placed, back.ended_at, back.returned_at)
        width = mono_width(back.gap, LABEL_SIZE) + 2 * LABEL_AIR
        begin = min(max((left + right - width) / 2, placed.scale.left), placed.scale.right - width)
        made.append(Loop(left, right, index % 2 == 0, Extent(begin, begin + width), back.gap, False))
    labeled: list[Loop] = []
    for is_above in (True, False):
        side = [loop for loop in made if loop.is_above is is_above]
        flags = free_labels([loop.label for loop in side], 4)
        labeled += [
            Loop(loop.left, loop.right, is_above, loop.label, loop.words, is_free)
            for loop, is_free in zip(side, flags, strict=True)
        ]
    return labeled


def _ends(placed: PlacedLane, ended_at: float, returned_at: float) -> tuple[float, float]:
    """Where the loop leaves and lands: the right end of the bar that ended, the left end of the one that came."""
    pairs = list(zip(placed.ordered, placed.bars, strict=True))
    left = next((extent.right for bar, extent in pairs if bar.end == ended_at), placed.scale.at(ended_at))
    starts = [extent.left for bar, extent in pairs if bar.start == returned_at and extent.left >= left]
    return left, (starts[0] if starts else max(placed.scale.at(returned_at), left))


def draw_lane(pen: Pen, placed: PlacedLane, loops: list[Loop], middle: float) -> SafeString:
    """All shapes of one lane around its middle line."""
    top = middle - BAR_HEIGHT / 2
    parts = [_hold(pen, placed, hold.start, hold.end, middle) for hold in placed.lane.holds]
    for bar, extent in zip(placed.ordered, placed.bars, strict=True):
        parts.append(_bar(pen, bar, extent, top, placed.scale))
    parts += [_notch(pen, placed.at(clear.at), top) for clear in placed.lane.clears]
    parts += [_loop(pen, loop, top) for loop in loops]
    return joined(parts)


def _body(left: float, right: float, top: float, bottom: float, is_open: bool) -> str:
    """The outline of a bar; an open one ends in a point past the edge."""
    if not is_open:
        return f"M{left:.1f} {top:.1f}H{right:.1f}V{bottom:.1f}H{left:.1f}Z"
    middle = (top + bottom) / 2
    return f"M{left:.1f} {top:.1f}H{right:.1f}L{right + ARROW:.1f} {middle:.1f}L{right:.1f} {bottom:.1f}H{left:.1f}Z"


def _bar(pen: Pen, bar: Bar, extent: Extent, top: float, scale: Scale) -> SafeString:
    """A bar: full as far as the code was seen, hollow and dashed where nobody knows."""
    seen_to = extent.right
    if bar.seen_to is not None:
        seen_to = min(max(scale.at(bar.seen_to), extent.left + LEAST_BAR), extent.right)
    if extent.right - seen_to < LEAST_UNKNOWN:
        return _full(pen, bar, extent, top, is_open=bar.end is None)
    known = _full(pen, bar, Extent(extent.left, seen_to), top, is_open=False)
    return _unknown(pen, bar, seen_to, extent.right, top) + known


def _unknown(pen: Pen, bar: Bar, left: float, right: float, top: float) -> SafeString:
    """The stretch after the last sighting."""
    way = _body(left, right, top + UNKNOWN_INSET, top + BAR_HEIGHT - UNKNOWN_INSET, bar.end is None)
    return pen.path(way, fill="surface", stroke=COLOR_BY_STATE[bar.state], thick=1.25, dash=UNKNOWN_DASH)


def _full(pen: Pen, bar: Bar, extent: Extent, top: float, *, is_open: bool) -> SafeString:
    left, right, bottom = extent.left, extent.right, top + BAR_HEIGHT
    color = COLOR_BY_STATE[bar.state]
    body = _body(left, right, top, bottom, is_open)
    if bar.state is FlagState.ACTIVE:
        drawn = pen.path(body, fill=color, stroke=color, thick=1.5)
    elif bar.state is FlagState.STORED:
        lower = _lower_half(left, right, top, bottom, is_open)
        drawn = pen.path(body, fill="surface", stroke=color, thick=1.5) + pen.path(lower, fill=color)
    elif bar.state in (FlagState.RETURNED, FlagState.NOT_FIXED_YET):
        inner = _body(left + 3, max(right - (1 if is_open else 3), left + 4), top + 3, bottom - 3, is_open)
        dash = STITCH if bar.state is FlagState.NOT_FIXED_YET else ""
        drawn = pen.path(body, fill="surface", stroke=color, thick=1.5, dash=dash) + pen.path(inner, fill=color)
    elif bar.state is FlagState.CLEARED:
        drawn = pen.path(body, fill="surface", stroke=color, thick=1.5)
        drawn += pen.line(left - 2, top + BAR_HEIGHT / 2, right + 2, top + BAR_HEIGHT / 2, stroke=color, thick=2)
    else:
        drawn = pen.path(body, fill="surface", stroke=color, thick=1.75, dash="1.75 3")
    return drawn + (NOTHING if bar.start_is_known else _ragged(pen, left, top, bottom))


def _lower_half(left: float, right: float, top: float, bottom: float, is_open: bool) -> str:
    middle = (top + bottom) / 2
    tip = f"H{right + ARROW:.1f}L{right:.1f} {bottom:.1f}" if is_open else f"H{right:.1f}V{bottom:.1f}"
    return f"M{left:.1f} {middle:.1f}{tip}H{left:.1f}Z"


def _ragged(pen: Pen, left: float, top: float, bottom: float) -> SafeString:
    """Teeth torn out of a beginning that nobody saw."""
    tooth = (bottom - top) / 4
    edge = left - 2
    way = f"M{edge:.1f} {top - 2:.1f}H{left + 1:.1f}"
    for index in range(4):
        begin = top + index * tooth
        way += f"L{left + 4:.1f} {begin + tooth / 2:.1f}L{left:.1f} {begin + tooth:.1f}"
    return pen.path(f"{way}V{bottom + 2:.1f}H{edge:.1f}Z", fill="surface")


def _notch(pen: Pen, x: float, top: float) -> SafeString:
    """A clear: a notch cut into the lane from above, its edges inked."""
    cut = f"M{x - 6:.1f} {top - 2:.1f}L{x:.1f} {top + 9:.1f}L{x + 6:.1f} {top - 2:.1f}"
    return pen.path(f"{cut}Z", fill="surface") + pen.path(cut, stroke="kept", thick=2)


def _hold(pen: Pen, placed: PlacedLane, start: float, end: float, middle: float) -> SafeString:
    """A thin line with a foot: so far it is proven that the code stayed away."""
    left = placed.at(start)
    right = max(placed.scale.at(end), left + 4)
    foot = pen.line(right, middle - 4, right, middle + 4, stroke="kept", thick=1.5)
    return pen.line(left, middle, right, middle, stroke="kept", thick=1.5) + foot


def _loop(pen: Pen, loop: Loop, top: float) -> SafeString:
    """A thin arc over the gap (or under it), with the gap's length where there is room."""
    edge = top if loop.is_above else top + BAR_HEIGHT
    reach = -LOOP_HEIGHT if loop.is_above else LOOP_HEIGHT
    left, right = loop.left, max(loop.right, loop.left + 2)
    bend = min(8.0, (right - left) / 2)
    way = (
        f"M{left:.1f} {edge:.1f}C{left:.1f} {edge + reach:.1f} {left + bend / 2:.1f} {edge + reach:.1f} "
        f"{left + bend:.1f} {edge + reach:.1f}H{right - bend:.1f}C{right - bend / 2:.1f} {edge + reach:.1f} "
        f"{right:.1f} {edge + reach:.1f} {right:.1f} {edge:.1f}"
    )
    drawn = pen.path(way, stroke="second_signal", thick=1.5)
    if not (loop.is_labeled and loop.words):
        return drawn
    base = edge + reach + (4.5 if loop.is_above else 4.0)
    box = pen.box(loop.label.left, base - 10, loop.label.right - loop.label.left, 12.5, fill="surface")
    words = pen.text(
        loop.label.left + LABEL_AIR, base, loop.words, size=LABEL_SIZE, color="second_signal", mono=True, weight=600
    )
    return drawn + box + words
