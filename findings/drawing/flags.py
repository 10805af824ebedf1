"""The flag of a fault's state: a word, told apart by pattern first and color second.

*Active* is solid; *stored* is half solid, its word counterchanged where the halves meet; *returned* is solid with
a doubled edge and a turn-back arrow; *not fixed yet* is solid inside a stitched edge; *cleared* is an outline with a
bar through it, broken only for the word; *historic* is a dotted outline.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from django.utils.safestring import SafeString

from findings.drawing.lettering import TEXT_FONT, text_width
from findings.drawing.pictures import PENDING, PRINT, FlagState, Palette
from findings.drawing.svg import Pen, element, picture

HEIGHT = 28.0
SIZE = 14.0
PADDING = 9.0
EDGE = 4.0
TAIL = 6.0
TEXT_BASE = 18.8
ARROW_ROOM = 19.0
STITCH = "4 2.5"
SEAM = 0.4
"""How far the halves of a counterchanged word keep from the edge between them: readers of a PDF take a tenth of the
type size for the end of a word."""

COLOR_BY_STATE = {
    FlagState.ACTIVE: "signal",
    FlagState.STORED: "signal",
    FlagState.RETURNED: "second_signal",
    FlagState.NOT_FIXED_YET: "signal",
    FlagState.CLEARED: "kept",
    FlagState.HISTORIC: "soft_ink",
}


@dataclass(frozen=True, slots=True)
class Drawn:
    """A piece of a picture and the room that it takes."""

    markup: SafeString
    width: float
    height: float


def flag_words(state: FlagState, status: str = "") -> str:
    """What the flag says: the state, and for a fault that is back the status that the unit gives it now."""
    if state is FlagState.ACTIVE and status == PENDING:
        return PENDING
    return f"{state.value} · {status}" if status and status != state.value else state.value


def flag_width(state: FlagState, status: str = "") -> float:
    """How wide the flag is."""
    arrow = ARROW_ROOM if state is FlagState.RETURNED else 0.0
    return 2 * EDGE + 2 * PADDING + TAIL + arrow + text_width(flag_words(state, status), SIZE)


def _outline(left: float, top: float, right: float, bottom: float, tail: float = TAIL) -> str:
    """A flag with a shallow notch in its fly."""
    middle = (top + bottom) / 2
    return f"M{left:.1f} {top:.1f}H{right:.1f}L{right - tail:.1f} {middle:.1f}L{right:.1f} {bottom:.1f}H{left:.1f}Z"


def flag_piece(state: FlagState, status: str = "", palette: Palette = PRINT) -> Drawn:
    """The flag's shapes in a box that begins at 0, 0."""
    pen = Pen(palette)
    width = flag_width(state, status)
    words = flag_words(state, status)
    body = _outline(EDGE, EDGE, width - EDGE, HEIGHT - EDGE)
    start = EDGE + PADDING
    draw = {
        FlagState.ACTIVE: _active,
        FlagState.STORED: _stored,
        FlagState.RETURNED: _returned,
        FlagState.NOT_FIXED_YET: _not_fixed_yet,
        FlagState.CLEARED: _cleared,
        FlagState.HISTORIC: _historic,
    }[state]
    return Drawn(draw(pen, body, start, width, words), width, HEIGHT)


def _word(pen: Pen, x: float, words: str, color: str) -> SafeString:
    return pen.text(x, TEXT_BASE, words, size=SIZE, color=color, weight=600)


def _active(pen: Pen, body: str, start: float, width: float, words: str) -> SafeString:
    del width
    return pen.path(body, fill="signal", stroke="signal", thick=1.5) + _word(pen, start, words, "on_signal")


def _stored(pen: Pen, body: str, start: float, width: float, words: str) -> SafeString:
    del width
    half = len(words) // 2
    split = start + text_width(words[:half], SIZE)
    solid = pen.box(EDGE, EDGE, split - EDGE, HEIGHT - 2 * EDGE, fill="signal")
    word = element(
        "text",
        {"y": TEXT_BASE, "font-family": TEXT_FONT, "font-size": SIZE, "font-weight": "600"},
        element("tspan", {"x": start - SEAM}, words[:half], painted=pen.paint(fill="on_signal")),
        element("tspan", {"x": split + SEAM}, words[half:], painted=pen.paint(fill="signal")),
    )
    return pen.path(body, fill="surface", stroke="signal", thick=1.5) + solid + word


def _returned(pen: Pen, body: str, start: float, width: float, words: str) -> SafeString:
    outer = _outline(0.75, 0.75, width - 0.75, HEIGHT - 0.75, TAIL)
    arrow = _turn_back_arrow(pen, start - 2)
    return (
        pen.path(outer, fill="surface", stroke="second_signal", thick=1.5)
        + pen.path(body, fill="second_signal")
        + arrow
        + _word(pen, start + ARROW_ROOM, words, "on_second_signal")
    )


def _not_fixed_yet(pen: Pen, body: str, start: float, width: float, words: str) -> SafeString:
    outer = _outline(0.75, 0.75, width - 0.75, HEIGHT - 0.75, TAIL)
    return (
        pen.path(outer, fill="surface", stroke="signal", thick=1.5, dash=STITCH)
        + pen.path(body, fill="signal")
        + _word(pen, start, words, "on_signal")
    )


def _turn_back_arrow(pen: Pen, x: float) -> SafeString:
    """An arrow that goes out and comes back."""
    way = (
        f"M{x + 1:.1f} 17.5H{x + 10:.1f}A3.6 3.6 0 0 0 {x + 10:.1f} 10.3H{x + 3:.1f}"
        f"M{x + 5:.1f} 14L{x + 1:.1f} 17.5L{x + 5:.1f} 21"
    )
    return pen.path(way, stroke="on_second_signal", thick=2)


def _cleared(pen: Pen, body: str, start: float, width: float, words: str) -> SafeString:
    middle = HEIGHT / 2
    end = start + text_width(words, SIZE)
    return (
        pen.path(body, fill="surface", stroke="kept", thick=1.5)
        + pen.line(0, middle, start - 3, middle, stroke="kept", thick=2.5)
        + pen.line(end + 3, middle, width, middle, stroke="kept", thick=2.5)
        + _word(pen, start, words, "kept")
    )


def _historic(pen: Pen, body: str, start: float, width: float, words: str) -> SafeString:
    del width
    return pen.path(body, fill="surface", stroke="soft_ink", thick=1.75, dash="1.75 3") + _word(
        pen, start, words, "soft_ink"
    )


@lru_cache(maxsize=200)
def fault_flag(state: FlagState, status: str = "", palette: Palette = PRINT) -> SafeString:
    """The flag as a picture of its own. It needs no id: a page may show as many as it likes."""
    piece = flag_piece(state, status, palette)
    return picture(f"Fault state: {flag_words(state, status)}", "", (piece.width, piece.height), "flag", piece.markup)
