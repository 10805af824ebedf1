"""What is known about CAN logs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import QuerySet

from commands.background import open_task
from commands.models import BackgroundTask
from findings.canlogs.models import CanLog, CanLogState
from findings.canlogs.tasks import READ_CAN_LOG
from findings.faults.evidence import IS_EFFECTIVE
from findings.faults.models import Scan
from findings.readings.models import Reading
from vessels.models import Vessel
from workorders.models import Job


def logs_of_job(job: Job) -> QuerySet[CanLog]:
    """The logs that were brought to a job, newest first, without what was read of them."""
    return CanLog.objects.filter(job=job).select_related("brought_by").defer("summary", "mapping")


def reading_task(log: CanLog) -> BackgroundTask | None:
    """What a worker is still to do for a log that is not read yet."""
    return open_task(READ_CAN_LOG.name, str(log.pk)) if log.is_under_way else None


@dataclass(frozen=True)
class LoggedFrom:
    """What is logged on a job from one file, and still stands."""

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

    def same_readings(self, engine_id: int | None, parameter_name: str, condition: str) -> list[Reading]:
        """The readings of this engine and parameter; without a condition, those under any."""
        return [
            one
            for one in self.readings
            if one.entry.engine_id == engine_id
            and one.parameter.name.casefold() == parameter_name.casefold()
            and (not condition or one.condition.casefold() == condition.casefold())
        ]


def logged_from(log: CanLog) -> LoggedFrom:
    """What was logged from a file on its job and was neither voided nor replaced: two queries."""
    scans = Scan.objects.filter(IS_EFFECTIVE, file_sha256=log.sha256, entry__job_id=log.job_id)
    readings = Reading.objects.filter(IS_EFFECTIVE, file_sha256=log.sha256, entry__job_id=log.job_id)
    return LoggedFrom(
        list(scans.select_related("entry__author", "unit__engine").defer("raw").order_by("entry__position")),
        list(readings.select_related("entry__author", "entry__engine", "parameter").order_by("entry__position")),
    )


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
