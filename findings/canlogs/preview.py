"""From the summary of a log to what can be looked through and logged: codes, status bits, values. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from engineering.canlog import CodeSpan, LogSummary, NotUnderstood, ParameterSpan, StatusSpan, UnitSpan
from engineering.canonical import plain_decimal
from engineering.codes import Code, CodeProblem, CodeStatus, CodeSystem, Explanation, explain, make_code
from engineering.measures import UNITS, convert, preferred_unit, show
from engineering.plurals import counted
from engineering.units import System
from findings.canlogs.naming import HOURS, NOT_A_WARNING, PARAMETERS, SELDOM_LOGGED, Named, name_of
from findings.canlogs.senders import Sender, sender_of, senders_in
from findings.canlogs.unread import STATUS_PGNS, later_unread, unread_beside, unread_words
from findings.faults.listed import ListedCode

MOST_ROWS = 400
"""Of each table on the page; a boat's own network has a tenth of that."""
MOST_DECIMALS = 4
MOVED_MUCH = Decimal("0.5")
"""Of the median, from lowest to highest. Common practice, no source."""
PLACES_CONVERTED = {"psi": 1, "degF": 1, "gal/h": 2}
"""About the step of the network's own units, 0.1 kPa, 0.1 K and 0.1 L/h."""
PLACES_ON_PAGE = {name: place for place, name in enumerate(dict.fromkeys(PARAMETERS.values()))}
LAST = len(PLACES_ON_PAGE)
CHECK = "Check its status."
WHICH = [("median", "Median"), ("last", "Last"), ("first", "First"), ("minimum", "Lowest"), ("maximum", "Highest")]


@dataclass(frozen=True)
class CodeHeard:
    """One code of a unit, or one status bit that it sent. ``code`` None: it cannot be decoded, and not be logged.

    ``key`` names it on the page; ``identity`` is the same in every reading of the file.
    """

    key: str
    identity: str
    sender: Sender
    code: Code | None
    status: CodeStatus
    count: int | None
    said: str
    problem: str
    is_usual: bool

    @property
    def label(self) -> str:
        """The code as people write it."""
        return ListedCode(self.code, self.status).label if self.code else "Cannot be decoded"

    @property
    def meaning(self) -> Explanation | None:
        """What the code means by itself."""
        return explain(self.code) if self.code else None


@dataclass(frozen=True)
class ValueHeard:
    """One parameter of a sender over the whole log, in the shop's unit."""

    key: str
    identity: str
    sender: Sender
    named: Named
    unit: str
    count: int
    first: Decimal
    last: Decimal
    minimum: Decimal
    maximum: Decimal
    median: Decimal
    is_about: bool
    is_usual: bool
    gaps: str

    def shown(self, which: str) -> str:
        """One of its five values with the unit."""
        return show(self.value(which), self.unit)

    def value(self, which: str) -> Decimal:
        """One of its five values."""
        value: Decimal = getattr(self, which)
        return value

    @property
    def median_shown(self) -> str:
        """The median with its unit."""
        return self.shown("median")

    @property
    def range_shown(self) -> str:
        """Lowest and highest in a few words."""
        return f"{plain_decimal(self.minimum)} to {self.shown('maximum')}"

    @property
    def course_shown(self) -> str:
        """First and last in a few words."""
        return f"{plain_decimal(self.first)}, {self.shown('last')}"

    @property
    def moved_much(self) -> bool:
        """Whether it moved so much that one figure hardly stands for the whole log."""
        return self.maximum - self.minimum > abs(self.median) * MOVED_MUCH

    @property
    def kind(self) -> str:
        """The kind of quantity of its unit."""
        return UNITS[self.unit].kind.value


@dataclass(frozen=True)
class Understood:
    """A log as the preview shows it. ``tell_codes`` and ``tell_status`` are the senders that told of such at all.

    ``unread`` says what was heard and could not be read.
    """

    summary: LogSummary
    senders: Sequence[Sender]
    codes: Sequence[CodeHeard]
    statuses: Sequence[CodeHeard]
    values: Sequence[ValueHeard]
    hours: dict[Sender, Decimal]
    tell_codes: frozenset[Sender]
    tell_status: frozenset[Sender]
    lamps: Sequence[str]
    diagnostics: Sequence[str]
    unread: Sequence[str] = ()

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to log."""
        return not (self.codes or self.statuses or self.values or self.diagnostics)

    @property
    def not_decoded(self) -> int:
        """How many frames or messages were not understood."""
        return sum(one.count for one in self.summary.not_understood)

    @property
    def not_understood(self) -> Sequence[NotUnderstood]:
        """What was not understood, most of it first."""
        return sorted(self.summary.not_understood, key=lambda one: -one.count)


def understand(summary: LogSummary, system: System) -> Understood:
    """Put a summary into the shop's names and units."""
    statuses = [_status(index, span, summary) for index, span in enumerate(summary.statuses)]
    senders = senders_in(summary)
    sent = [span for span in summary.parameters if span.count]
    values = [_value(index, span, system, summary) for index, span in enumerate(sent) if span.key not in HOURS]
    return Understood(
        summary,
        senders,
        [_code(index, span, summary) for index, span in enumerate(summary.codes)],
        [one for one in statuses if one is not None],
        sorted(values, key=lambda one: (senders.index(one.sender), PLACES_ON_PAGE.get(one.named.parameter, LAST))),
        {sender_of(span): _as_hours(span) for span in sent if span.key in HOURS},
        frozenset(Sender(span.channel, span.source, None) for span in summary.units),
        frozenset(sender_of(span) for span in summary.parameters if span.pgn in STATUS_PGNS),
        [_lamp(span, summary) for span, status in zip(summary.statuses, statuses, strict=True) if status is None],
        [_diagnostic(span, summary) for span in summary.units],
        unread_words(summary),
    )


def _code(index: int, span: CodeSpan, summary: LogSummary) -> CodeHeard:
    sender = Sender(span.channel, span.source, None)
    status, problem = span.status, ""
    if later := later_unread(summary, span):
        problem = f"{'In' if span.in_last else 'No longer in'} the last message that was read; {later}. {CHECK}"
    elif status is CodeStatus.ACTIVE and not span.in_last:
        status, problem = CodeStatus.STORED, "It was active, and no longer at the end of the log."
    if span.code is None:
        spns = ", ".join(str(spn) for spn in span.possible_spns)
        problem = (
            f"The unit uses an older byte order and does not say which: SPN {spns or 'unknown'}, FMI {span.fmi}. Read "
            "it "
            "with an instrument, and log it by touch."
        )
    said = f"in {counted(span.messages, 'message')}{_when(span)}"
    identity = f"{sender.key}/{span.raw}/{span.status.value}"
    is_known = span.code is not None
    return CodeHeard(f"code-{index}", identity, sender, span.code, status, span.count, said, problem, is_known)


def _status(index: int, span: StatusSpan, summary: LogSummary) -> CodeHeard | None:
    """A status bit as a code; None for a lamp or a gear, which is none."""
    try:
        code = make_code(CodeSystem.STATUS, span.key)
    except CodeProblem:
        return None
    status, problem = CodeStatus.ACTIVE, ""
    if later := later_unread(summary, span):
        problem = f"{'On' if span.on_at_end else 'Off'} in the last message that was read; {later}. {CHECK}"
    elif not span.on_at_end:
        status, problem = CodeStatus.STORED, "It was on, and off again at the end of the log."
    sender = sender_of(span)
    return CodeHeard(
        f"status-{index}",
        f"{sender.key}/{span.pgn}/{span.key}",
        sender,
        code,
        status,
        None,
        f"on in {span.messages:,} of {span.of_messages:,} messages{_when(span)}",
        problem,
        span.key not in NOT_A_WARNING,
    )


def _value(index: int, span: ParameterSpan, system: System, summary: LogSummary) -> ValueHeard:
    if span.first is None or span.last is None or span.minimum is None or span.maximum is None or span.median is None:
        raise ValueError(f"{span.key} was sent {span.count} times and has no value")
    unit = preferred_unit(UNITS[span.unit].kind, system)

    def turned(value: Decimal) -> Decimal:
        places = MOST_DECIMALS if unit == span.unit else PLACES_CONVERTED.get(unit, 2)
        exact = convert(value, span.unit, unit).quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)
        return Decimal(plain_decimal(exact))

    sender = sender_of(span)
    return ValueHeard(
        f"value-{index}",
        f"{sender.key}/{span.pgn}/{span.instance}/{span.kind}/{span.key}",
        sender,
        name_of(span),
        unit,
        span.count,
        turned(span.first),
        turned(span.last),
        turned(span.minimum),
        turned(span.maximum),
        turned(span.median),
        span.median_within != 0,
        span.key not in SELDOM_LOGGED,
        _gaps(span, unread_beside(summary, span)),
    )


def _gaps(span: ParameterSpan, unread: int) -> str:
    """What the sender said instead of a value, and how often it could not be read."""
    parts = [
        (span.not_available, "not available"),
        (span.in_error, "in error"),
        (span.reserved, "out of range"),
        (unread, "in a message that could not be read"),
    ]
    return ", ".join(f"{counted(count, 'time')} {words}" for count, words in parts if count)


def _as_hours(span: ParameterSpan) -> Decimal:
    hours = span.last or Decimal(0)
    return (hours / 3600 if span.unit == "s" else hours).quantize(Decimal("0.1"))


def _lamp(span: StatusSpan, summary: LogSummary) -> str:
    end = f"{'on' if span.on_at_end else 'off'} {_at_the_end(span, summary)}"
    return f"{sender_of(span).words}: {span.words}, on in {span.messages:,} of {span.of_messages:,} messages, {end}"


def _diagnostic(span: UnitSpan, summary: LogSummary) -> str:
    sender, were = Sender(span.channel, span.source, None).words, "was" if span.messages == 1 else "were"
    words = f"{sender}: {counted(span.messages, 'message')} of {span.status.value} codes"
    later = later_unread(summary, span)
    words += f" {were} read" if later else ""
    if span.without_code:
        words += f", {span.without_code:,} of them said that there is none"
        last = f"the last of these too, but {later}" if later else "the last one too"
        words += f", {last}" if span.ends_without_code else ""
    return words


def _at_the_end(span: StatusSpan, summary: LogSummary) -> str:
    return "in the last one that was read" if later_unread(summary, span) else "at the end"


def _when(span: CodeSpan | StatusSpan) -> str:
    """From when to when, in minutes and seconds from the beginning of the log."""
    if span.first_s is None or span.last_s is None:
        return ""
    return f", from {clock_words(span.first_s)} to {clock_words(span.last_s)}"


def clock_words(seconds: Decimal) -> str:
    """Seconds from the beginning as 1:02:03 or 2:03."""
    whole = int(seconds)
    hours, minutes, left = whole // 3600, whole // 60 % 60, whole % 60
    return f"{hours}:{minutes:02}:{left:02}" if hours else f"{minutes}:{left:02}"
