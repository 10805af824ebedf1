"""The pass itself: the format is recognized, frames are read and decoded batch by batch, and put into a summary."""

import re
from collections import Counter
from collections.abc import Callable, Iterator
from typing import BinaryIO

import numpy as np

from engineering.canlog.blf import BlfLog
from engineering.canlog.collecting import Collector
from engineering.canlog.diagnostics import DIAGNOSTIC_PGNS, Diagnostics
from engineering.canlog.frames import PGN_COUNT, Batch, Ints, Mask, pgns_of
from engineering.canlog.groups import GROUPS
from engineering.canlog.layouts import Asc, Candump, Layout, Trc
from engineering.canlog.leftovers import leftovers
from engineering.canlog.source import Source
from engineering.canlog.summary import LogProblem, LogSummary, Progress
from engineering.canlog.tally import Tally
from engineering.canlog.texts import TextLog

_HEAD = 64 << 10
_WANTED = np.zeros(PGN_COUNT, np.bool_)
_WANTED[[*GROUPS, *DIAGNOSTIC_PGNS]] = True

_UTF_16 = (b"\xff\xfe", b"\xfe\xff")
_CANDUMP = re.compile(rb"^[^\n]{0,80}(?:\b[0-9A-Fa-f]{3,8}#|\b[0-9A-Fa-f]{3,8}\s+\[\s*[0-9]{1,2}\])", re.MULTILINE)
_ASC = re.compile(
    rb"^\s*(?:date\s+\w+|base\s+(?:hex|dec)|\d+\.\d+\s+\d+\s+[0-9A-Fa-f]+x?\s+[RT]x\s)", re.MULTILINE | re.I
)
_TRC = re.compile(rb"^(?:;\$FILEVERSION=|\s*\d+\)\s+\d+(?:\.\d+)?\s+(?:(?:[RT]x|\d+)\s+)?)", re.MULTILINE)


def _is_wanted(pgns: Ints) -> Mask:
    return _WANTED[pgns]


def one_pass(
    stream: BinaryIO, *, name: str, size: int | None, on_progress: Callable[[Progress], None] | None
) -> LogSummary:
    """See :func:`engineering.canlog.summarize`."""
    tally = Tally()
    source = Source(stream, size, tally, on_progress)
    form, batches = _reading(source, tally)
    collector, diagnostics = Collector(), Diagnostics()
    for batch in batches:
        pgns = pgns_of(batch.can_ids)
        collector.take(batch, pgns)
        diagnostics.take(batch, pgns)
    collector.finish(tally.timeline.last)
    diagnostics.finish()
    return _summary(name, form, source.bytes_read, tally=tally, collector=collector, diagnostics=diagnostics)


def _reading(source: Source, tally: Tally) -> tuple[str, Iterator[Batch]]:
    """The name of the format, and its frames."""
    head = source.peek(_HEAD)
    if not head.strip(b"\0 \t\r\n"):
        raise LogProblem("This file is empty.")
    if head.startswith(_UTF_16):
        raise LogProblem("This file is text in UTF-16. Save it as plain text (UTF-8) and add it again.")
    if head.startswith(b"LOGG"):
        return "BLF", BlfLog(tally, _is_wanted).batches(source)
    layout = _layout(head, tally)
    if layout is None:
        raise LogProblem(
            "This is not a CAN log that can be read here. Candump, ASC, BLF and TRC logs can be read; save the log as "
            "one of them."
        )
    return layout.name, TextLog(layout, tally, _is_wanted).batches(source)


def _layout(head: bytes, tally: Tally) -> Layout | None:
    if _TRC.search(head):
        return Trc(head, tally.timeline)
    if _ASC.search(head):
        return Asc(head, tally.timeline)
    return Candump(head, tally.timeline) if _CANDUMP.search(head) else None


def _summary(
    name: str, form: str, bytes_read: int, *, tally: Tally, collector: Collector, diagnostics: Diagnostics
) -> LogSummary:
    timeline, channels = tally.timeline, tally.channels
    clock = timeline.finish()
    if diagnostics.codes_left_out:
        tally.damage("codes", None, diagnostics.codes_left_out)
    if diagnostics.with_rest:
        tally.damage("code-rest", None, diagnostics.with_rest)
    not_decoded = Counter(collector.not_decoded)
    not_decoded.update(diagnostics.not_decoded)
    return LogSummary(
        form,
        name,
        bytes_read,
        tally.lines,
        tally.frames,
        collector.decoded + diagnostics.decoded,
        clock,
        timeline.moment(timeline.first),
        timeline.moment(timeline.last),
        timeline.seconds(),
        timeline.largest_gap(),
        timeline.backward_steps,
        channels,
        tuple(collector.parameters(channels, timeline)),
        diagnostics.codes(channels, timeline),
        diagnostics.units(channels, timeline),
        (*collector.statuses(channels, timeline), *diagnostics.lamps(channels, timeline)),
        leftovers(tally, not_decoded, _WANTED, collector.lost_messages, diagnostics.lost_messages),
        tally.damages(),
        (*diagnostics.incomplete(channels), *collector.incomplete(channels)),
    )
