"""The line under the lanes that says what their marks are: only those that the picture has."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.safestring import SafeString

from findings.drawing.flags import Drawn
from findings.drawing.lane_bars import ARROW, draw_lane, loops_of, placed_lane
from findings.drawing.lettering import text_width, wrapped_text
from findings.drawing.pictures import Bar, ClearMark, FlagState, HoldLine, Lane, LanesPicture, ReturnLoop
from findings.drawing.scale import Scale
from findings.drawing.svg import Pen, number
from web.markup import joined

LEFT = 8.0
LINE = 28.0
REMARK_LINE = 17.0
SAMPLE = 30.0
FITTED = "part fitted"
UNKNOWN = "not known whether still there"
GAP = 8.0
PAPER_WIDTH = 800.0
SIZE = 12.0
WORDS_BY_STATE = {
    FlagState.ACTIVE: "active",
    FlagState.STORED: "stored",
    FlagState.RETURNED: "returned",
    FlagState.NOT_FIXED_YET: "not fixed yet",
    FlagState.CLEARED: "cleared",
    FlagState.HISTORIC: "historic",
}


def draw_legend(pen: Pen, picture: LanesPicture, top: float, width: float, remark: str) -> Drawn:
    """Samples with their words, in as many lines as they need."""
    parts = [pen.line(0, top, width, top, stroke="rule")]
    x, y = LEFT, top + LINE / 2 + 3
    apart = 2.5 * GAP if width > PAPER_WIDTH else 1.25 * GAP
    for lane, words in _samples(picture):
        room = SAMPLE + GAP + text_width(words, SIZE)
        if x + room > width and x > LEFT:
            x, y = LEFT, y + LINE
        parts.append(_sample(pen, lane, x, y))
        parts.append(pen.text(x + SAMPLE + GAP, y + 4, words, size=SIZE, color="soft_ink"))
        x += room + apart
    for index, words in enumerate(wrapped_text(remark, SIZE, width - 2 * LEFT, 3)):
        y += LINE if index == 0 else REMARK_LINE
        parts.append(pen.text(LEFT, y + 4, words, size=SIZE, color="soft_ink"))
    return Drawn(joined(parts), width, y + LINE / 2 + 3 - top)


def fitted_wedge(pen: Pen, x: float, y: float) -> SafeString:
    """A wedge that stands on a line at ``y``."""
    return pen.path(f"M{number(x - 5)} {number(y - 9)}h10l-5 9z", fill="ink")


def _sample(pen: Pen, lane: Lane, x: float, y: float) -> SafeString:
    if lane.note == FITTED:
        return fitted_wedge(pen, x + SAMPLE / 2, y + 5)
    if lane.note:
        return pen.line(x + SAMPLE / 2, y - 9, x + SAMPLE / 2, y + 9, stroke="soft_ink", dash="1 2.5")
    is_open = any(bar.end is None for bar in lane.bars)
    placed = placed_lane(lane, Scale(0, 30, x, x + SAMPLE - (ARROW if is_open else 0)))
    return draw_lane(pen, placed, loops_of(placed), y + (4 if lane.returns else 0))


def _samples(picture: LanesPicture) -> Iterator[tuple[Lane, str]]:
    bars = [bar for lane in picture.lanes for bar in lane.bars]
    for state, words in WORDS_BY_STATE.items():
        if any(bar.state is state for bar in bars):
            yield _lane(bars=(Bar(start=2, end=28, state=state),)), words
    still_open = [bar for bar in bars if bar.end is None]
    if still_open:
        yield _lane(bars=(Bar(start=2, end=None, state=still_open[0].state),)), "still open"
    if any(not bar.start_is_known for bar in bars):
        ragged = Bar(start=2, end=28, state=FlagState.STORED, start_is_known=False)
        yield _lane(bars=(ragged,)), "beginning unknown"
    if not picture.is_known_throughout:
        yield _lane(bars=(Bar(start=2, end=28, state=FlagState.ACTIVE, seen_to=12),)), UNKNOWN
    if any(lane.clears for lane in picture.lanes):
        yield _lane(bars=(Bar(start=2, end=18, state=FlagState.ACTIVE),), clears=(ClearMark(at=18),)), "clear"
    if any(lane.holds for lane in picture.lanes):
        yield _lane(holds=(HoldLine(start=2, end=28),)), "proven absent"
    if any(lane.returns for lane in picture.lanes):
        loop = (ReturnLoop(ended_at=8, returned_at=22, gap=""),)
        ends = (Bar(start=0, end=8, state=FlagState.ACTIVE), Bar(start=22, end=30, state=FlagState.RETURNED))
        yield _lane(bars=ends, returns=loop), "gap"
    if picture.jobs:
        yield _lane(note="job"), "job"
    if picture.fitted:
        yield _lane(note=FITTED), FITTED


def _lane(
    *,
    bars: tuple[Bar, ...] = (),
    clears: tuple[ClearMark, ...] = (),
    holds: tuple[HoldLine, ...] = (),
    returns: tuple[ReturnLoop, ...] = (),
    note: str = "",
) -> Lane:
    return Lane(
        code="",
        name="",
        state=FlagState.ACTIVE,
        bars=bars,
        clears=clears,
        holds=holds,
        returns=returns,
        note=note,
    )
