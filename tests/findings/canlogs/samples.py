"""CAN logs for tests: a short run of the cast's two engines, as a file that was brought and read."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from engineering.canlog import LogProblem, to_json
from engineering.canlog import Progress as Heard
from findings.canlogs.decoding import CouldNotReadError, Progress
from findings.canlogs.unpacking import summarize_file
from shopfloor.demo.network import Motor, run_of

if TYPE_CHECKING:
    from django.test import Client

    from commands.models import BackgroundTask
    from findings.canlogs.models import CanLog
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
    moments = []
    for one in range(count):
        step = one % 50
        bits = status if one < count / 2 else 0
        port = Motor(0, 0, 800 + 100 * step, 200 + 10 * step, 70 + step, 13.9, 1204.5, bits)
        starboard = Motor(1, 1, 810 + 100 * step, 220 + 10 * step, 71 + step, 14.1, 1199.2)
        moments.append((port, starboard))
    return run_of(start, moments, code=code)


def upload(text: str | bytes, name: str = "trip.log") -> SimpleUploadedFile:
    """A file as a browser sends it."""
    return SimpleUploadedFile(name, text.encode() if isinstance(text, str) else text)


def summary_here(path: Path, *, name: str, size: int, on_progress: Callable[[Progress], None]) -> dict[str, Any]:
    """What ``findings.canlogs.decoding.summary_of`` does, in this process."""

    def tell(progress: Heard) -> None:
        on_progress(Progress(progress.bytes_read, progress.frames, "reading and decoding frames"))

    try:
        return to_json(summarize_file(path, name=name, size=size, on_progress=tell))
    except LogProblem as problem:
        raise CouldNotReadError(problem.sentence) from problem


def read_log(cast: Cast, job: Job, text: str | bytes | None = None, *, name: str = "trip.log") -> CanLog:
    """A log that was brought to the job and read."""
    from unittest.mock import patch

    from findings.canlogs.actions import bring_log

    brought = bring_log(by=cast.tech, job=job, file=upload(run_text() if text is None else text, name))
    with patch("findings.canlogs.reading.summary_of", summary_here):
        read_waiting(brought.log)
    brought.log.refresh_from_db()
    return brought.log


def read_waiting(log: CanLog) -> BackgroundTask:
    """Do what a worker does with a log that waits: with its task, or another one where that has ended."""
    from commands.background import ask, do_now

    task = ask("read_can_log", str(log.pk))
    do_now(task)
    task.refresh_from_db()
    return task


def page_of(client: Client, log: CanLog) -> Any:
    """The log's own page."""
    return client.get(reverse("findings:can_log", args=[log.job.number, log.pk]))


def answers_of(page: Any, **more: str) -> dict[str, str]:
    """What the preview would send when nothing is changed in it."""
    form = page.context["form"]
    sent = {name: form[name].value() or "" for name in form.fields}
    sent["entry_id"] = str(uuid.uuid4())
    for row in [*page.context["codes"], *page.context["statuses_heard"]]:
        sent[f"{row.heard.key}-status"] = row.status
    rows = [*page.context["codes"], *page.context["statuses_heard"], *page.context["values"]]
    sent |= {f"{row.heard.key}-take": "yes" for row in rows if row.is_taken}
    return sent | more


def without_ticks(page: Any, sent: dict[str, str], *sources: int) -> dict[str, str]:
    """The same answers with nothing ticked that these addresses sent."""
    rows = [*page.context["codes"], *page.context["statuses_heard"], *page.context["values"]]
    left = {f"{row.heard.key}-take" for row in rows if row.heard.sender.source in sources}
    return {name: value for name, value in sent.items() if name not in left}


def send(client: Client, log: CanLog, sent: dict[str, str]) -> Any:
    """Confirm the preview."""
    return client.post(reverse("findings:can_log", args=[log.job.number, log.pk]), sent)
