"""One pass over a log."""

from collections.abc import Callable
from typing import BinaryIO

from engineering.canlog.summary import LogSummary, Progress


def summarize(
    stream: BinaryIO, *, name: str, size: int | None = None, on_progress: Callable[[Progress], None] | None = None
) -> LogSummary:
    """What a candump, ASC, BLF or TRC log says, read once from ``stream`` in constant memory.

    The format is known by the content; ``name`` is only kept. ``on_progress`` is called after every piece read, and
    what it raises ends the reading. Damage never raises: what was readable is in the summary, the rest is counted in
    it. Raises :class:`LogProblem` where the content is no CAN log known here. Loads numpy and python-can when called.
    """
    from engineering.canlog.passing import one_pass

    return one_pass(stream, name=name, size=size, on_progress=on_progress)
