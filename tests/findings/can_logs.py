"""CAN logs for tests: a short run of the cast's two engines, as a file that was brought and read."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from django.core.files.uploadedfile import SimpleUploadedFile

from engineering.canlog import LogProblem, summarize, to_json
from engineering.canlog import Progress as Heard
from findings.canlogs.decoding import CouldNotReadError, Progress
from shopfloor.demo.network import Motor, run_of

if TYPE_CHECKING:
    from findings.models import CanLog
    from tests.cast import Cast
    from workorders.models import Job

BEGIN = datetime(2026, 5, 4, 15, 0, tzinfo=UTC)
OVER_TEMPERATURE, PREHEAT = 1 << 1, 1 << 10


def run_text(
    count: int = 12, *, start: datetime = BEGIN, code: tuple[int, int, int] | None = (110, 0, 3), status: int = 0
) -> str:
    """Half a second for each count: port (engine 0, address 0) and starboard (1, 1), a battery, an unknown message.

    Every value rises by its step, so that first, last and median are known. ``status`` is on in the first half.
    """
    return run_of(
        start,
        [
            (
                Motor(0, 0, 800 + 100 * one, 200 + 10 * one, 70 + one, 13.9, 1204.5, status if one < count / 2 else 0),
                Motor(1, 1, 810 + 100 * one, 220 + 10 * one, 71 + one, 14.1, 1199.2),
            )
            for one in range(count)
        ],
        code=code,
    )


def upload(text: str | bytes, name: str = "trip.log") -> SimpleUploadedFile:
    """A file as a browser sends it."""
    return SimpleUploadedFile(name, text.encode() if isinstance(text, str) else text)


def summary_here(path: Path, *, name: str, size: int, on_progress: Callable[[Progress], None]) -> dict[str, Any]:
    """What ``findings.canlogs.decoding.summary_of`` does, in this process."""

    def tell(progress: Heard) -> None:
        on_progress(Progress(progress.bytes_read, progress.frames, "reading and decoding frames"))

    try:
        with path.open("rb") as stream:
            return to_json(summarize(stream, name=name, size=size, on_progress=tell))
    except LogProblem as problem:
        raise CouldNotReadError(problem.sentence) from problem


def read_log(cast: Cast, job: Job, text: str | bytes | None = None, *, name: str = "trip.log") -> CanLog:
    """A log that was brought to the job and read."""
    from unittest.mock import patch

    from findings.canlogs.actions import bring_log
    from findings.canlogs.reading import read_log as read

    brought = bring_log(by=cast.tech, job=job, file=upload(run_text() if text is None else text, name))
    with patch("findings.canlogs.reading.summary_of", summary_here):
        read(brought.log.pk)
    brought.log.refresh_from_db()
    return brought.log
