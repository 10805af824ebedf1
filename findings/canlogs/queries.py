"""What is known about CAN logs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import QuerySet
from django.utils import timezone

from commands.background import open_task
from commands.models import BackgroundTask
from findings.canlogs.models import CanLog, CanLogState
from findings.canlogs.tasks import READ_CAN_LOG
from findings.faults.evidence import IS_EFFECTIVE
from findings.faults.models import Scan
from findings.readings.models import Reading
from vessels.models import LogEntry, Vessel
from workorders.models import Job


def logs_of_job(job: Job) -> QuerySet[CanLog]:
    """The logs that were brought to a job, newest first, without what was read of them."""
    return CanLog.objects.filter(job=job).select_related("brought_by").defer("summary", "mapping")


def reading_task(log: CanLog) -> BackgroundTask | None:
    """What a worker is still to do for a log that is not read yet."""
    return open_task(READ_CAN_LOG.name, str(log.pk)) if log.is_under_way else None


@dataclass(frozen=True)
class LoggedFrom:
    """What is logged on a boat from one file, on whatever job, and still stands."""

    scans: Sequence[Scan]
    readings: Sequence[Reading]

    @property
    def is_anything(self) -> bool:
        """Whether something is."""
        return bool(self.scans or self.readings)

    @property
    def units(self) -> set[int]:
        """The units of the scans."""
        return {scan.unit_id for scan in self.scans}

    @property
    def first(self) -> Scan | Reading:
        """The first of it."""
        return self.scans[0] if self.scans else self.readings[0]

    def same_readings(self, engine_id: int | None, parameter_name: str, condition: str) -> list[Reading]:
        """The readings of this engine and parameter; without a condition, those under any."""
        return [
            one
            for one in self.readings
            if one.entry.engine_id == engine_id
            and one.parameter.name.casefold() == parameter_name.casefold()
            and (not condition or one.condition.casefold() == condition.casefold())
        ]

    def by_job(self) -> list[tuple[Job | None, LoggedFrom]]:
        """The same for each job by itself, in the order of the jobs' numbers."""
        entries = [*(scan.entry for scan in self.scans), *(reading.entry for reading in self.readings)]
        jobs = {entry.job_id: entry.job for entry in entries}
        return [
            (
                job,
                LoggedFrom(
                    [one for one in self.scans if one.entry.job_id == job_id],
                    [one for one in self.readings if one.entry.job_id == job_id],
                ),
            )
            for job_id, job in sorted(jobs.items(), key=lambda item: item[1].number if item[1] else 0)
        ]

    def on_job(self, job: Job) -> LoggedFrom:
        """What of it is logged on this job."""
        return next((logged for one, logged in self.by_job() if one == job), LoggedFrom([], []))


def logged_from(log: CanLog) -> LoggedFrom:
    """What was logged from a file on its boat, and was neither voided nor replaced: two queries."""
    of_file = {"file_sha256": log.sha256, "entry__vessel_id": log.job.vessel_id}
    scans = Scan.objects.filter(IS_EFFECTIVE, **of_file).select_related("entry__author", "entry__job", "unit__engine")
    readings = Reading.objects.filter(IS_EFFECTIVE, **of_file)
    readings = readings.select_related("entry__author", "entry__job", "entry__engine", "parameter")
    return LoggedFrom(list(scans.defer("raw").order_by("entry__position")), list(readings.order_by("entry__position")))


def other_job_words(entry: LogEntry, log: CanLog) -> str:
    """On which other job something was logged, for the middle of a sentence; empty for the log's own job."""
    if entry.job is None or entry.job == log.job:
        return ""
    day = timezone.localtime(entry.happened_at)
    return f" on job {entry.job.number}, {day:%b} {day.day}, {day.year}"


def is_logged_anywhere(digest: str) -> bool:
    """Whether evidence, even such as was voided, names a file: then the file has to stay."""
    return Scan.objects.filter(file_sha256=digest).exists() or Reading.objects.filter(file_sha256=digest).exists()


def remembered_mapping(vessel: Vessel) -> dict[str, str]:
    """To which unit or engine each sender of a boat's network was given when a log was last logged."""
    remembered: dict[str, str] = {}
    mappings = CanLog.objects.filter(job__vessel=vessel, state=CanLogState.READ).exclude(mapping={})
    for mapping in reversed(mappings.order_by("-brought_at").values_list("mapping", flat=True)[:5]):
        remembered |= mapping
    return remembered
