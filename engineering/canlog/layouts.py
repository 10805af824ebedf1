"""The text formats: what a header says, and how lines that are written unlike the rest are read."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Protocol

from can.io.asc import ASCReader
from can.io.trc import TRCReader

from engineering.canlog.candump_lines import read_candump_lines
from engineering.canlog.findings import Found
from engineering.canlog.library_lines import read_library_lines
from engineering.canlog.shapes import Extended, Shape
from engineering.canlog.summary import Clock
from engineering.canlog.times import Timeline


class Layout(Protocol):
    """A text format."""

    @property
    def name(self) -> str:
        """What it is called."""

    @property
    def times_are_steps(self) -> bool:
        """Whether a line's time counts from the line before it."""

    @property
    def shapes(self) -> tuple[Shape, ...]:
        """The shapes that its lines usually have; a log keeps to one."""

    def read(self, lines: Sequence[bytes]) -> list[Found]:
        """What the lines are, in order; headers, comments and events that carry no frame are left out."""


_CANDUMP_TIME = re.compile(rb"^\s*\((\d{1,9}\.\d{1,9})\)", re.MULTILINE)
_CANDUMP_DATE = re.compile(rb"^\s*\(\d{4}-\d\d-\d\d[ T]", re.MULTILINE)


class Candump:
    """candump, with or without times, as ``-l`` writes it or as it stands on a screen."""

    name = "candump"
    shapes = (
        Shape(2, Extended.EIGHT_DIGITS, time=0, in_brackets=True, channel=1),
        Shape(1, Extended.EIGHT_DIGITS, channel=0),
        Shape(0, Extended.EIGHT_DIGITS),
        Shape(1, Extended.EIGHT_DIGITS, channel=0, length=2, bracketed=True, data=3),
        Shape(2, Extended.EIGHT_DIGITS, time=0, in_brackets=True, channel=1, length=3, bracketed=True, data=4),
    )

    def __init__(self, head: bytes, timeline: Timeline) -> None:
        """See from the first bytes of the file whether its times are dates of a zone that it does not name."""
        if _CANDUMP_DATE.search(head):
            timeline.clock, timeline.start = Clock.LOCAL, datetime(1970, 1, 1)
        self.times_are_steps = _are_steps([float(written) for written in _CANDUMP_TIME.findall(head)])
        if self.times_are_steps:
            timeline.clock = Clock.RELATIVE

    def read(self, lines: Sequence[bytes]) -> list[Found]:
        """Read lines one at a time."""
        return list(read_candump_lines(lines))


def _are_steps(times: Sequence[float]) -> bool:
    """Whether times count from the frame before, as ``candump -td`` has them: they do not grow, but go up and down.

    The first is left out, as it is 0. A clock that was set back once goes down as far, but not as often.
    """
    changes = [later - earlier for earlier, later in pairwise(times[1:])]
    if not changes:
        return False
    down = [-change for change in changes if change < 0]
    if not down:
        return len(changes) > 1 and not any(changes) and times[1] > 0
    return len(down) >= len(changes) / 20 and sum(down) >= sum(change for change in changes if change > 0) / 2


_ASC_FRAME = re.compile(rb"\s*\d+\.\d*\s+(?:CANFD\b|\d+\s+(?:[0-9A-Fa-f]+x?\s+[RT]x\b|ErrorFrame))", re.IGNORECASE)
_ASC_OTHER = re.compile(
    rb"\s*(?:$|//|(?:date|base|no|internal|begin|end)\b|\d+\.\d*\s+(?:start of|\d+\s+statistic|log )|measurement uuid)",
    re.IGNORECASE,
)
_ASC_BASE = re.compile(rb"^\s*base\s+(hex|dec)(?:\s+timestamps\s+(absolute|relative))?", re.IGNORECASE | re.MULTILINE)
_ASC_DATE = re.compile(
    rb"^\s*(date|begin\s+triggerblock)\s+\w+\s+(\S{3})\S*\s+(\d{1,2})\s+(\d{1,2}):(\d\d):(\d\d)(?:\.(\d{1,6}))?\s*([ap]m)?\s+(\d{4})",
    re.IGNORECASE | re.MULTILINE,
)
_MONTHS = {
    name: number
    for number, names in enumerate(
        ("jan", "feb", "mar mär", "apr", "may mai", "jun", "jul", "aug", "sep", "oct okt", "nov", "dec dez"), 1
    )
    for name in names.split()
}


_RECEIVED_OR_SENT = (b"Rx", b"Tx")
_ASC_SHAPE = Shape(
    2, Extended.X_AFTER, time=0, channel=1, marks=((3, _RECEIVED_OR_SENT), (4, (b"d",))), length=5, data=6
)


class Asc:
    """ASC text logs."""

    name = "ASC"

    def __init__(self, head: bytes, timeline: Timeline) -> None:
        """Read the header in the first bytes of the file."""
        base = _ASC_BASE.search(head)
        self.is_hex = base is None or base[1].lower() == b"hex"
        self.times_are_steps = base is not None and (base[2] or b"").lower() == b"relative"
        self._header = (f"base {'hex' if self.is_hex else 'dec'} timestamps absolute\n", "no internal events logged\n")
        self.shapes = (_ASC_SHAPE,) if self.is_hex else ()
        timeline.clock = Clock.RELATIVE
        started = _asc_date(head)
        if started:
            timeline.clock, timeline.start = Clock.LOCAL, started

    def read(self, lines: Sequence[bytes]) -> list[Found]:
        """Read lines with python-can, and say which look like a frame that it does not know."""
        found = read_library_lines(ASCReader, self._header, list(enumerate(lines)))
        numbered = [replace(one, channel=str(int(one.channel) + 1)) if one.channel else one for one in found]
        return _judged(numbered, lines, _ASC_FRAME, _ASC_OTHER)


def _asc_date(head: bytes) -> datetime | None:
    """When the times count from: the beginning of the trigger block, else the date of the file."""
    dates = {match[1][:1].lower(): match for match in reversed(list(_ASC_DATE.finditer(head)))}
    match = dates.get(b"b") or dates.get(b"d")
    if match is None:
        return None
    _, month, day, hour, minute, second, part, half, year = match.groups()
    number = _MONTHS.get(month.decode("utf-8", "replace").lower()[:3])
    hours = int(hour) % 12 + (12 if half.lower() == b"pm" else 0) if half else int(hour)
    if number is None:
        return None
    try:
        return datetime(int(year), number, int(day), hours, int(minute), int(second), _microseconds(part or b"0"))
    except ValueError:
        return None


def _microseconds(part: bytes) -> int:
    """What follows the seconds: thousandths, which some write without leading zeros, or a longer fraction."""
    return int(part) * 1000 if len(part) <= 3 else int(part.ljust(6, b"0"))


_TRC_VERSION = re.compile(rb"^;\$FILEVERSION=(\d\.\d)", re.MULTILINE)
_TRC_START = re.compile(rb"^;\$STARTTIME=(\d{1,6}(?:\.\d{1,15})?)\s*$", re.MULTILINE)
_TRC_COLUMNS = re.compile(rb"^;\$COLUMNS=([A-Za-z,]{1,60})\s*$", re.MULTILINE)
_TRC_FRAME = re.compile(rb"\s*\d+\)?\s+\d+(?:\.\d*)?\s")
_TRC_OTHER = re.compile(rb"\s*(?:$|;)")
_DAY_OF_1970 = 25_569


@dataclass(frozen=True, slots=True)
class TrcHeader:
    """The version, and the columns of versions from 2.0."""

    version: str
    columns: tuple[str, ...]


_TRC_SHAPES = {
    "1.0": Shape(2, Extended.OVER_FOUR, time=1, in_milliseconds=True, length=3, data=4),
    "1.1": Shape(
        3, Extended.OVER_FOUR, time=1, in_milliseconds=True, marks=((2, _RECEIVED_OR_SENT),), length=4, data=5
    ),
    "1.3": Shape(
        4,
        Extended.OVER_FOUR,
        time=1,
        in_milliseconds=True,
        channel=2,
        marks=((3, _RECEIVED_OR_SENT),),
        length=6,
        data=7,
    ),
}


def _trc_shapes(header: TrcHeader) -> tuple[Shape, ...]:
    """The shape of data frames of a version; those from 2.0 on say themselves in which column what stands."""
    if header.version in _TRC_SHAPES:
        return (_TRC_SHAPES[header.version],)
    at = {column: place for place, column in enumerate(header.columns)}
    length = at.get("l", at.get("L"))
    if not {"O", "T", "I", "D"} <= at.keys() or length is None:
        return ()
    return (
        Shape(
            at["I"],
            Extended.OVER_FOUR,
            time=at["O"],
            in_milliseconds=True,
            channel=at.get("B"),
            marks=((at["T"], (b"DT",)),),
            length=length,
            data=at["D"],
        ),
    )


class Trc:
    """TRC text logs of versions 1.0 to 2.1."""

    name = "TRC"
    times_are_steps = False

    def __init__(self, head: bytes, timeline: Timeline) -> None:
        """Read the header in the first bytes of the file."""
        version, columns, start = (pattern.search(head) for pattern in (_TRC_VERSION, _TRC_COLUMNS, _TRC_START))
        self.header = TrcHeader(
            version[1].decode() if version else "1.0", tuple(columns[1].decode().split(",")) if columns else ()
        )
        timeline.clock = Clock.RELATIVE
        if start:
            timeline.clock = Clock.LOCAL
            timeline.start = datetime(1899, 12, 30) + timedelta(days=float(start[1]))
        named = [f";$FILEVERSION={self.header.version}\n"] if version else []
        if columns:
            named.append(f";$COLUMNS={columns[1].decode()}\n")
        self.shapes = _trc_shapes(self.header)
        self._lines = (*named, f";$STARTTIME={_DAY_OF_1970}\n")

    def read(self, lines: Sequence[bytes]) -> list[Found]:
        """Read lines with python-can, and say which look like a frame that it does not know."""
        frames = [(at, line) for at, line in enumerate(lines) if not _TRC_OTHER.match(line)]
        found = list(read_library_lines(TRCReader, self._lines, frames))
        if not self.shapes or self.shapes[0].channel is None:
            found = [replace(one, channel="") for one in found]
        return _judged(found, lines, _TRC_FRAME, _TRC_OTHER)


def _judged(
    found: list[Found], lines: Sequence[bytes], frame: re.Pattern[bytes], other: re.Pattern[bytes]
) -> list[Found]:
    """With the lines that the library passed over: damage if they look like a frame or like nothing known."""
    answered = {one.at for one in found}
    for at, line in enumerate(lines):
        if at not in answered and not other.match(line):
            found.append(Found(at, damage="line" if frame.match(line) else "unknown-line"))
    return sorted(found, key=lambda one: one.at)
