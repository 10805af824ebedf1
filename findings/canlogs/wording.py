"""The text that a scan keeps of the log it was read from: what was understood, what not, and of which file. Pure."""

from __future__ import annotations

from collections.abc import Iterable

from engineering.canlog import LogSummary
from findings.canlogs.preview import CodeHeard, Understood, ValueHeard, clock_words
from findings.canlogs.senders import Sender

LONG_GAP_S = 10
MOST_LINES = 60
"""Of what was not understood; the rest is counted."""


def text_of(understood: Understood, senders: Iterable[Sender], *, name: str, sha256: str, size: int) -> str:
    """What a log says of some of its senders, with the digest of the file, so that the log's own chain covers it."""
    chosen = set(senders)
    summary = understood.summary
    lines = [
        f"CAN log: {name}",
        f"SHA-256 of the file: {sha256}",
        f"Size: {size:,} bytes. Format: {summary.format}.",
        f"Frames: {summary.frames:,}, of which {summary.decoded_frames:,} were decoded.",
        *_times(understood),
        *(f"{one.label}, {one.status.value}: {one.said}. {one.sender.words}." for one in _of(understood.codes, chosen)),
        *(
            f"{one.label}, {one.status.value}: {one.said}. {one.sender.words}."
            for one in _of(understood.statuses, chosen)
        ),
        *(value_words(one) for one in understood.values if one.sender in chosen),
        *understood.diagnostics,
        *understood.lamps,
        *(f"Could not be read: {sentence}" for sentence in understood.unread),
    ]
    lines += [f"Not understood: {one.count:,} × {one.sentence}" for one in understood.not_understood[:MOST_LINES]]
    left_out = len(understood.not_understood) - MOST_LINES
    if left_out > 0:
        lines.append(f"Not understood: {left_out} more kinds.")
    lines += [f"Damage: {one.count:,} × {one.sentence}" for one in summary.damages]
    return "\n".join(lines)


def value_words(one: ValueHeard) -> str:
    """One value with its five figures."""
    condition = f" ({one.named.condition})" if one.named.condition else ""
    about = "about " if one.is_about else ""
    figures = [
        f"first {one.shown('first')}",
        f"last {one.shown('last')}",
        f"lowest {one.shown('minimum')}",
        f"highest {one.shown('maximum')}",
        f"median {about}{one.shown('median')}",
    ]
    return f"{one.named.parameter}{condition}: {one.count:,} values, {', '.join(figures)}. {one.sender.words}."


def lasts_words(summary: LogSummary) -> str:
    """How long a log lasts, as 1:02:03."""
    return "not known" if summary.seconds is None else clock_words(summary.seconds)


def oddities_of(summary: LogSummary) -> list[str]:
    """What is odd about the times of a log."""
    found = []
    if summary.largest_gap_s is not None and summary.largest_gap_s > LONG_GAP_S:
        found.append(f"The longest time without a frame is {clock_words(summary.largest_gap_s)}.")
    return found


def _of(codes: Iterable[CodeHeard], chosen: set[Sender]) -> list[CodeHeard]:
    return [one for one in codes if one.sender in chosen]


def _times(understood: Understood) -> list[str]:
    summary = understood.summary
    found = []
    if summary.first_at is not None and summary.last_at is not None:
        found.append(f"From {summary.first_at.isoformat()} to {summary.last_at.isoformat()}, clock: {summary.clock}.")
    if summary.seconds is not None:
        found.append(f"Seconds: {summary.seconds}.")
    return found
