"""What a log holds that was heard and could not be read, by sender, and what it keeps the log from proving. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from engineering.canlog import CodeSpan, IncompleteSpan, LogSummary, ParameterSpan, StatusSpan, UnitSpan
from engineering.codes.dm import DM_NAMES
from engineering.codes.network_status import STATUS_FIELDS
from engineering.plurals import counted
from findings.canlogs.senders import Sender
from findings.faults.listed import ListedCode

STATUS_PGNS = {field.pgn for field in STATUS_FIELDS}
NOT_COUNTED = (
    "This log was read before incomplete messages were counted by sender, and some were lost: whose they were is not "
    "known. Read it again to know."
)
_MAY_BE_INCOMPLETE = {"transport-lost", "transport-rest", "fast-packet-lost"}


def was_not_counted(summary: LogSummary) -> bool:
    """Whether messages were lost and the stored summary does not know whose they were."""
    if summary.incomplete is not None:
        return False
    return any(
        one.cause in _MAY_BE_INCOMPLETE or (one.cause == "too-short" and one.pgn in DM_NAMES)
        for one in summary.not_understood
    )


def unread_words(summary: LogSummary) -> list[str]:
    """A sentence or two for each sender and message that could not be read."""
    if was_not_counted(summary):
        return [NOT_COUNTED]
    return [sentence_of(one, summary) for one in summary.incomplete or ()]


def sentence_of(one: IncompleteSpan, summary: LogSummary) -> str:
    """What could not be read of one kind of message of a sender, and how that lies to what could."""
    sender = Sender(one.channel, one.source, one.instance).words
    if one.pgn is None:
        packets = counted(one.messages, "packet")
        return (
            f"{sender}: {packets} of long messages whose announcement is missing, so what they were of is not known. "
            "They may have held codes."
        )
    were = "was" if one.messages == 1 else "were"
    said = f"{sender}: {_messages(one)} {were} incomplete and could not be read"
    return f"{said}{_beside_those_read(one, summary)}.{_beginning(one)}"


def _messages(one: IncompleteSpan) -> str:
    if one.pgn in DM_NAMES:
        name, status = DM_NAMES[one.pgn]
        return f"{counted(one.messages, 'message')} of {status.value} codes ({name})"
    return f"{counted(one.messages, 'message')} “{one.name}” (PGN {one.pgn})"


def _beside_those_read(one: IncompleteSpan, summary: LogSummary) -> str:
    if not one.read:
        return "; none of them could be read"
    if not one.ends_incomplete:
        return f"; {one.read:,} could be read, the last one after them"
    unit = next((span for span in summary.units if span.pgn == one.pgn and _is_sender(one, span)), None)
    which = "which said that there is none" if unit is not None and unit.ends_without_code else ""
    before = f"the last one that could be read{f', {which},' if which else ''} came before"
    return f"; {before} {'it' if one.messages == 1 else 'the last of them'}"


def _beginning(one: IncompleteSpan) -> str:
    """What stood in the first packets: a message cut short says what may be, and no more."""
    if one.pgn not in DM_NAMES or not (one.codes or one.lamps):
        return ""
    status = DM_NAMES[one.pgn][1]
    parts = [f"{ListedCode(code, status).label} may be {status.value}" for code in one.codes]
    parts += [f"the {lamp} may be on" for lamp in one.lamps]
    return f" By beginnings that were cut short, {_and(parts)}."


def _is_sender(one: IncompleteSpan, span: UnitSpan | CodeSpan | ParameterSpan | StatusSpan) -> bool:
    return (one.channel, one.source) == (span.channel, span.source)


def later_unread(summary: LogSummary, span: CodeSpan | StatusSpan | UnitSpan) -> str:
    """Why the end of the log is not known of it: what came after the last message that was read; empty for nothing."""
    if was_not_counted(summary):
        return "whether later ones were lost is not known"
    later = [one for one in summary.incomplete or () if one.ends_incomplete and _may_have_held(one, span)]
    if any(one.pgn is not None for one in later):
        return "later ones could not be read"
    return "later packets have no announcement and may have been one" if later else ""


def _may_have_held(one: IncompleteSpan, span: CodeSpan | StatusSpan | UnitSpan) -> bool:
    if not _is_sender(one, span):
        return False
    instance: int | None = None
    pgns: set[int]
    if isinstance(span, StatusSpan):
        pgns, instance = {span.pgn}, span.instance
    elif isinstance(span, UnitSpan) and span.pgn is not None:
        pgns = {span.pgn}
    else:
        pgns = {pgn for pgn, (_, status) in DM_NAMES.items() if status is span.status}
    if None not in (one.instance, instance) and one.instance != instance:
        return False
    return one.pgn in pgns or (one.pgn is None and pgns <= DM_NAMES.keys())


def unread_beside(summary: LogSummary, span: ParameterSpan) -> int:
    """How many messages that may have held this value could not be read."""
    return sum(
        one.messages
        for one in summary.incomplete or ()
        if one.pgn == span.pgn and _is_sender(one, span) and one.instance in (None, span.instance)
    )


def hides_codes(summary: LogSummary, senders: Iterable[Sender]) -> list[IncompleteSpan]:
    """What keeps a log from proving that a code or status bit of these senders is gone.

    It came after the last message that was read, or was announced with more codes than were read altogether.
    """
    return [one for one in may_hide_codes(summary, senders) if _hides(one, summary)]


def may_hide_codes(summary: LogSummary, senders: Iterable[Sender]) -> list[IncompleteSpan]:
    """All of these senders that could not be read and may have held a code or a status bit."""
    asked = [sender for sender in senders if not sender.is_about_boat]
    return [
        one
        for one in summary.incomplete or ()
        if (one.pgn is None or one.pgn in DM_NAMES or one.pgn in STATUS_PGNS)
        and any(_may_be_of(one, sender) for sender in asked)
    ]


def _may_be_of(one: IncompleteSpan, sender: Sender) -> bool:
    if (one.channel, one.source) != (sender.channel, sender.source):
        return False
    return one.instance is None or sender.instance is None or one.instance == sender.instance


def _hides(one: IncompleteSpan, summary: LogSummary) -> bool:
    if one.ends_incomplete or one.pgn not in DM_NAMES:
        return one.ends_incomplete
    status = DM_NAMES[one.pgn][1]
    read = {span.raw[:8] for span in summary.codes if _is_sender(one, span) and span.status is status}
    return one.most_codes > len(read)


def may_have_held_words(hidden: Sequence[IncompleteSpan]) -> str:
    """That messages may have held more, counted, for a question."""
    said = []
    for one in hidden:
        sender = Sender(one.channel, one.source, one.instance).words
        what = f"{counted(one.messages, 'packet')} without an announcement" if one.pgn is None else _messages(one)
        said.append(f"{what} from {sender[0].lower()}{sender[1:]}")
    if not said:
        return ""
    were = "was" if len(hidden) == 1 and hidden[0].messages == 1 else "were"
    return f"{_and(said)} {were} incomplete and may have held more."


def _and(parts: Sequence[str]) -> str:
    return " and ".join([", ".join(parts[:-1]), parts[-1]] if len(parts) > 1 else parts)
