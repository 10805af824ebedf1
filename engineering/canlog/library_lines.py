"""Lines of ASC and TRC logs, read by python-can, which goes on after a line that it stumbles over."""

import logging
from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

import can

from engineering.canlog.findings import Found
from engineering.canlog.frames import NO_TIME

for _name in ("can.io.asc", "can.io.trc"):
    logging.getLogger(_name).setLevel(logging.CRITICAL)  # what it would warn of is counted here


class _Lines:
    """Stands for a file: a header, then lines that remember how far they were read."""

    def __init__(self, header: Iterable[str], lines: Iterable[tuple[int, str]]) -> None:
        self._header = deque(header)
        self._lines = iter(lines)
        self.at = -1

    def __iter__(self) -> Iterator[str]:
        while self._header:
            yield self._header.popleft()
        for at, line in self._lines:
            self.at = at
            yield line

    def renew(self, header: Iterable[str]) -> None:
        self._header.extend(header)

    def close(self) -> None:
        """A reader closes its file at the end; there is nothing to close."""


def read_library_lines(reader: Any, header: Sequence[str], lines: Sequence[tuple[int, bytes]]) -> Iterator[Found]:
    """The frames that a reader class of python-can finds; a line that breaks it is damage. ``header`` opens a file."""
    source = _Lines(header, ((at, line.decode("utf-8", "replace")) for at, line in lines))
    failed_at = -2
    if not lines:
        return
    while True:
        try:
            for message in reader(source):
                yield _found(source.at, message)
            return
        except (ArithmeticError, AttributeError, LookupError, TypeError, ValueError):
            if source.at == failed_at:
                return
            failed_at = source.at
            yield Found(source.at, damage="line")
            source.renew(header)


def _found(at: int, message: can.Message) -> Found:
    time = round(message.timestamp * 1_000_000) if -1e12 < message.timestamp < 1e12 else NO_TIME
    channel = "" if message.channel is None else str(message.channel)
    cause = ""
    if message.is_error_frame:
        cause = "error"
    elif message.is_fd:
        cause = "fd"
    elif message.is_remote_frame:
        cause = "remote"
    elif not message.is_extended_id:
        cause = "standard"
    if cause:
        return Found(at, time, channel, cause=cause)
    if len(message.data) > 8 or message.arbitration_id > 0x1FFFFFFF or message.dlc != len(message.data):
        return Found(at, damage="line")
    return Found(at, time, channel, message.arbitration_id, bytes(message.data))
