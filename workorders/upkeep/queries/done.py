"""Services that were done: for the lines of a job, and the hours that its readings give."""

from __future__ import annotations

from dataclasses import dataclass

from vessels.log.evidence import superseded
from vessels.models import Engine, LogEntry
from workorders.models import Job, JobLine
from workorders.upkeep.models import PlannedLine, ServiceDone


@dataclass(frozen=True)
class LineForService:
    """A line of a job that is for a service, with the entry that logged it where there is one."""

    planned: PlannedLine
    done: ServiceDone | None
    read: LogEntry | None

    @property
    def line(self) -> JobLine:
        """The line."""
        return self.planned.line

    @property
    def is_ready(self) -> bool:
        """Whether what was done is written on the line, and the service is not logged yet."""
        return self.done is None and bool(self.line.correction)


def lines_for_service(job: Job) -> list[LineForService]:
    """The lines of a job that are for a service: three queries however many there are."""
    planned = list(
        PlannedLine.objects.filter(line__job=job)
        .select_related("line__engine", "adoption__plan", "adoption__engine")
        .order_by("line__position")
    )
    if not planned:
        return []
    counting = ServiceDone.objects.filter(line__in=[one.line_id for one in planned]).exclude(superseded("entry"))
    done = {one.line_id: one for one in counting.select_related("entry").order_by("entry__happened_at")}
    read = readings_of(job)
    return [LineForService(one, done.get(one.line_id), read.get(one.adoption.engine_id)) for one in planned]


def readings_of(job: Job) -> dict[int, LogEntry]:
    """The last entry of a job that read each engine's hours, by the engine's key: one query."""
    entries = LogEntry.objects.filter(job=job, engine_hours__isnull=False).exclude(superseded("pk"))
    return {entry.engine_id: entry for entry in entries.order_by("happened_at", "position") if entry.engine_id}


def read_on(job: Job | None, engine: Engine) -> LogEntry | None:
    """The same for one engine; None where nobody read its hours on the job."""
    return None if job is None else readings_of(job).get(engine.pk)
