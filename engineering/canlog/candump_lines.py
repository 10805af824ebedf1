"""Lines in candump notation, one at a time: for those that are not written like the others.

Source: the notations of candump and ``candump -l`` of can-utils, as its open documentation and python-can have them.
"""

import re
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from decimal import Decimal, InvalidOperation

from engineering.canlog.findings import Found
from engineering.canlog.frames import NO_TIME

_FRONT = rb"\s*(?:\((?P<time>[^()]{1,40})\)\s*)?(?:(?P<channel>[^\x00-\x20#()\[\]]{1,32})\s+)?"
_HASHED = re.compile(_FRONT + rb"(?P<id>[0-9A-Fa-f]{3}|[0-9A-Fa-f]{8})#(?P<data>\S*)(?:\s+[RrTt]x?)?\s*")
_SPACED = re.compile(
    _FRONT + rb"(?:[RT]X\s+(?:[-BE]\s+[-BE]\s+)?)?(?P<id>[0-9A-Fa-f]{3}|[0-9A-Fa-f]{8})\s+\[\s*(?P<length>[0-9]{1,2})\]"
    rb"\s*(?P<data>[^']*?)\s*(?:'.*)?"
)
_HEX = re.compile(rb"(?:[0-9A-Fa-f]{2})*")
_ERROR_FLAG, _IDENTIFIER = 0x20000000, 0x1FFFFFFF


def read_candump_lines(lines: Sequence[bytes]) -> Iterator[Found]:
    """What each line is. Empty lines and comments (# or ;) are nothing."""
    for at, line in enumerate(lines):
        found = _read(at, line)
        if found is not None:
            yield found


def _read(at: int, line: bytes) -> Found | None:
    text = line.strip()
    if not text or text[:1] in b"#;":
        return None
    match = _HASHED.fullmatch(text) or _SPACED.fullmatch(text)
    if match is None:
        return Found(at, damage="line" if b"#" in text or b"[" in text else "unknown-line")
    time = time_of(match["time"])
    unread = time == NO_TIME and match["time"] is not None
    channel = (match["channel"] or b"").decode("utf-8", "replace")
    can_id, extended = int(match["id"], 16), len(match["id"]) == 8
    data = match["data"]
    cause = _cause(can_id, extended, data)
    if cause:
        return Found(at, time, channel, cause=cause, time_is_unread=unread)
    length = match.groupdict().get("length")
    content = data.partition(b"_")[0].replace(b".", b"") if length is None else b"".join(data.split())
    judged = _judged(content, None if length is None else int(length))
    if can_id > (_IDENTIFIER if extended else 0x7FF) or judged == "line":
        return Found(at, damage="line")
    if judged or not extended:
        return Found(at, time, channel, cause=judged or "standard", time_is_unread=unread)
    data = bytes.fromhex(content.decode("ascii"))
    return Found(at, time, channel, can_id, data, time_is_unread=unread)


def _cause(can_id: int, extended: bool, data: bytes) -> str:
    """Why a frame is no classic data frame, if it is none."""
    if extended and can_id & _ERROR_FLAG:
        return "error"
    if data.startswith(b"#"):
        return "fd"
    return "remote" if data[:1] in (b"R", b"r") else ""


def _judged(content: bytes, length: int | None) -> str:
    """Empty for the data of a classic frame, "fd" where there is more than it holds, "line" where it is damaged."""
    if not _HEX.fullmatch(content) or (length is not None and 2 * length != len(content)):
        return "line"
    if len(content) <= 16:
        return ""
    return "line" if length is None else "fd"


def time_of(text: bytes | None) -> int:
    """Microseconds of a time in seconds or as a date, NO_TIME where it is none."""
    written = (text or b"").decode("ascii", "replace").strip()
    try:
        seconds = Decimal(written)
    except InvalidOperation:
        return _date_of(written)
    if not seconds.is_finite() or seconds.adjusted() > 12:
        return NO_TIME
    return int(seconds.scaleb(6).to_integral_value())


def _date_of(written: str) -> int:
    """A date and time as candump -t A writes it. It names no zone, and neither do the times of such a log."""
    try:
        moment = datetime.fromisoformat(written.replace(" ", "T")).replace(tzinfo=UTC)
    except ValueError:
        return NO_TIME
    since = moment - datetime.fromtimestamp(0, UTC)
    return (since.days * 86_400 + since.seconds) * 1_000_000 + since.microseconds
