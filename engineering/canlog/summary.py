"""What was read out of a CAN log, as plain frozen values.

Every ``…_s`` is in seconds since the log's first frame (None where the log has no times); ``LogSummary.first_at`` says
when that was. A sender is a channel of the log (a network that it recorded) and a source address on it; an instance is
the number that the message itself carries: engine 0 is the port or only one, 1 the starboard one.
"""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from enum import StrEnum

from engineering.codes import Code, CodeStatus


class LogProblem(ValueError):  # noqa: N818 - named after what it tells the user
    """A file is no CAN log that can be read here; ``sentence`` says why and what to do."""

    def __init__(self, sentence: str) -> None:
        """Keep the sentence for the field it belongs to."""
        super().__init__(sentence)
        self.sentence = sentence


class Clock(StrEnum):
    """What the times of a log count from."""

    UTC = "utc"
    """Seconds since 1970: ``first_at`` is aware."""
    LOCAL = "local"
    """Wall-clock time of a zone that the file does not name: ``first_at`` is naive."""
    RELATIVE = "relative"
    """Since a start that the file does not name: ``first_at`` is None."""
    NONE = "none"
    """The log has no times."""


@dataclass(frozen=True, slots=True)
class ParameterSpan:
    """One parameter of one sender and instance over the whole log.

    ``key`` is stable ASCII, such as "engine-oil-pressure"; ``label`` is for people; ``unit`` is a key of
    ``engineering.measures.UNITS``. ``kind`` tells tanks and temperatures apart ("fuel", "exhaust gas"), else empty.
    ``count`` is how many values were sent; where it is 0 the five values are None. Values are exact: the wire's
    integer times its resolution. The median of an even count is the lower of the two in the middle, so that it is a
    value that was sent; ``median_within`` is 0 where it is exact, else how far off it can be.
    ``not_available``, ``in_error`` and ``reserved`` count what the sender said instead of a value.
    """

    pgn: int
    key: str
    label: str
    unit: str
    channel: str
    source: int
    instance: int | None
    kind: str
    count: int
    first: Decimal | None
    last: Decimal | None
    minimum: Decimal | None
    maximum: Decimal | None
    median: Decimal | None
    median_within: Decimal
    not_available: int
    in_error: int
    reserved: int
    first_s: Decimal | None
    last_s: Decimal | None


@dataclass(frozen=True, slots=True)
class CodeSpan:
    """One trouble code of one unit (channel and source address) with one status.

    ``code`` is None where the unit uses an older byte order and does not say which (conversion method bit set): then
    ``possible_spns`` are what ``raw`` can mean. ``count`` is the highest occurrence count sent, None where none was.
    ``messages`` is how many messages listed the code; ``in_last`` whether the unit's last message of that status did.
    """

    channel: str
    source: int
    code: Code | None
    status: CodeStatus
    fmi: int
    raw: str
    possible_spns: tuple[int, ...]
    count: int | None
    messages: int
    in_last: bool
    first_s: Decimal | None
    last_s: Decimal | None


@dataclass(frozen=True, slots=True)
class UnitSpan:
    """The diagnostic messages of one unit that were read: how many of one PGN, and how many said outright "no code".

    ``ends_without_code`` is True where the last one of them said so. ``pgn`` is None in a summary stored before it was
    kept.
    """

    channel: str
    source: int
    status: CodeStatus
    messages: int
    without_code: int
    ends_without_code: bool
    first_s: Decimal | None
    last_s: Decimal | None
    pgn: int | None = None


@dataclass(frozen=True, slots=True)
class StatusSpan:
    """One status bit, lamp or gear that was on in at least one message.

    ``key`` and ``words`` are those of ``engineering.codes.network_status`` for status bits; "gear-forward" and the like
    for gears; "red-stop-lamp" and the like for lamps. ``messages`` had it on, ``of_messages`` said whether it was.
    """

    pgn: int
    key: str
    words: str
    channel: str
    source: int
    instance: int | None
    messages: int
    of_messages: int
    on_at_end: bool
    first_s: Decimal | None
    last_s: Decimal | None


@dataclass(frozen=True, slots=True)
class IncompleteSpan:
    """Messages of one sender and PGN that were begun and could not be read: frames are missing, or they are too short.

    ``pgn`` None: packets of long messages whose announcement is missing, each counted by itself, so that nobody knows
    of which PGN they were. ``instance`` is None where the message carries none, or the frame that tells it is missing.
    ``ends_incomplete`` is True where one of them came after the last message that was read, of which there were
    ``read`` (of packets without an announcement: diagnostic messages of any PGN). ``most_codes`` is the most trouble
    codes that one of them was announced with; ``codes`` and ``lamps`` stood in first packets, so the unit may have
    sent them. A message that is only cut off by the log's first or last frame is not counted where that is certain.
    """

    channel: str
    source: int
    pgn: int | None
    instance: int | None
    name: str
    messages: int
    ends_incomplete: bool
    read: int
    most_codes: int
    codes: tuple[Code, ...]
    lamps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NotUnderstood:
    """Frames that were whole but not decoded: why, how many, and where it is known the PGN and its name.

    ``cause`` is stable ASCII: "pgn" (not one that is decoded here), "standard" (11-bit identifier), "remote", "error",
    "fd", "fast-packet-lost" and "transport-lost" (``messages`` of them were never complete), "fast-packet-rest" and
    "transport-rest" (frames that belong to no message), "too-short", "too-many" (more senders and instances than are
    kept apart). The counts of all causes and ``LogSummary.decoded_frames`` add up to ``LogSummary.frames``.
    """

    cause: str
    sentence: str
    pgn: int | None
    name: str
    count: int
    messages: int


@dataclass(frozen=True, slots=True)
class Place:
    """Where something is: a line of a text (from 1) or a byte of a file (from 0), and a short piece of it."""

    line: int | None
    offset: int | None
    excerpt: str


@dataclass(frozen=True, slots=True)
class Damage:
    """One kind of damage: ``count`` is exact, ``samples`` are the first few places."""

    kind: str
    sentence: str
    count: int
    samples: tuple[Place, ...]


@dataclass(frozen=True, slots=True)
class Progress:
    """How far the reading is. ``size`` is None where it is not known."""

    bytes_read: int
    size: int | None
    frames: int


@dataclass(frozen=True, slots=True)
class LogSummary:
    """All of a log. ``frames`` were read, ``decoded_frames`` of them carried what is decoded here.

    ``seconds`` lie between the earliest and the latest frame. ``largest_gap_s`` is the longest time without a frame.
    ``backward_steps`` counts frames that are earlier than the one before them. ``incomplete`` is None, so not known, in
    a summary that was stored before it was counted.
    """

    format: str
    name: str
    bytes_read: int
    lines: int
    frames: int
    decoded_frames: int
    clock: Clock
    first_at: datetime | None
    last_at: datetime | None
    seconds: Decimal | None
    largest_gap_s: Decimal | None
    backward_steps: int
    channels: tuple[str, ...]
    parameters: tuple[ParameterSpan, ...]
    codes: tuple[CodeSpan, ...]
    units: tuple[UnitSpan, ...]
    statuses: tuple[StatusSpan, ...]
    not_understood: tuple[NotUnderstood, ...]
    damages: tuple[Damage, ...]
    incomplete: tuple[IncompleteSpan, ...] | None = None
