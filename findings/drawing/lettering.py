"""How wide a text will be drawn, so that labels can be kept apart before anyone draws them.

Advance widths are those of the vendored fonts (thousandths of the type size): the mono is the same for every
sign, the text font is measured at its 600 weight, which is never narrower than what is drawn.
"""

from __future__ import annotations

from functools import lru_cache

TEXT_FONT = "Atkinson Hyperlegible Next, DejaVu Sans, sans-serif"
MONO_FONT = "Atkinson Hyperlegible Mono, DejaVu Sans Mono, monospace"

MONO_ADVANCE = 632
WIDEST_ADVANCE = 900
_SIGNS_BY_ADVANCE = {
    195: "'", 249: "|", 253: ",.:;", 255: "j", 277: "·`", 285: "i", 301: "!l", 303: " ", 324: "()", 344: "[]",
    349: "f", 362: 't"', 369: "r-", 391: "{}°_", 415: "I", 430: "/\\1", 485: "*", 502: "zsyc–", 509: "v", 529: "x?7",
    544: "k~×aåä", 559: "JLeéuü", 569: "F<>hnñoøö2^", 592: "9gdbp≤≥Eq3T", 604: "+−±5$S", 621: "Z6=P48", 639: "YVBR",
    666: "CK0ΩAX", 699: "DUH", 730: "NGw&#", 747: "OQ…", 780: "@", 830: "—", 877: "MmW", 953: "%",
}  # fmt: skip
_ADVANCES = {sign: advance for advance, signs in _SIGNS_BY_ADVANCE.items() for sign in signs}


@lru_cache(maxsize=4000)
def text_width(text: str, size: float) -> float:
    """The width of `text` in the text font."""
    return sum([_ADVANCES.get(sign, WIDEST_ADVANCE) for sign in text]) * size / 1000


def mono_width(text: str, size: float) -> float:
    """The width of `text` in the mono font."""
    return len(text) * MONO_ADVANCE * size / 1000


def fitted_text(text: str, size: float, room: float) -> str:
    """`text`, or as much of it as the room takes with an ellipsis."""
    if text_width(text, size) <= room:
        return text
    kept = text
    while kept and text_width(f"{kept}…", size) > room:
        kept = kept[:-1]
    return f"{kept.rstrip()}…"


def fitted_mono(text: str, size: float, room: float) -> str:
    """`text` in mono, or as much of it as the room takes with an ellipsis."""
    if mono_width(text, size) <= room:
        return text
    kept = max(0, int(room / (MONO_ADVANCE * size / 1000)) - 1)
    return f"{text[:kept].rstrip()}…"


def wrapped_text(text: str, size: float, room: float, most: int) -> list[str]:
    """`text` in as many lines as it needs, at most so many; what has no room ends in an ellipsis."""
    words = text.split()
    lines: list[str] = []
    while words and len(lines) < most - 1:
        taken = 1
        while taken < len(words) and text_width(" ".join(words[: taken + 1]), size) <= room:
            taken += 1
        lines.append(fitted_text(" ".join(words[:taken]), size, room))
        words = words[taken:]
    return [*lines, fitted_text(" ".join(words), size, room)] if words else lines
