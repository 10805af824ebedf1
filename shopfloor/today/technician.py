"""The technician's own jobs, with the next thing to do on each."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from django.db.models import Exists, OuterRef, QuerySet, Subquery

from findings.faults.evidence import IS_EFFECTIVE
from findings.faults.models import Fault, Scan
from findings.reports.models import IssuedReport, ReportDraft
from shopfloor.next_steps import OnRecord, Step, next_step
from vessels.log.evidence import effective
from vessels.models import ControlUnit, LogEntry
from workorders.models import Job, JobLine, JobMove, Stretch
from workorders.states import JobState
from workorders.waiting import Wait, waits_of

MOST = 20
MOST_CLOCKS, MOST_LINES = 6, 4
"""So many jobs have the clocks of so many lines on Today; the others have them on their own pages."""
_WORK_ORDER = [
    JobState.IN_WORK, JobState.SEA_TRIAL, JobState.AUTHORIZED, JobState.ESTIMATE, JobState.WAITING_WEATHER,
    JobState.WAITING_PARTS, JobState.WAITING_CUSTOMER, JobState.READY,
]  # fmt: skip


@dataclass(frozen=True)
class OwnJob:
    """A job of the technician who looks, with its next step."""

    job: Job
    step: Step
    lines: Sequence[JobLine] = ()
    entry_id: uuid.UUID = field(default_factory=uuid.uuid4)
    """Of the move, where the step is one: sent twice, it is made once."""


def own_jobs(mine: QuerySet[Job]) -> list[OwnJob]:
    """The first jobs to turn to: what is in work before what waits, what is promised sooner before what is later."""
    jobs = sorted(with_record(mine)[:100], key=working_order)
    waits = waits_of(jobs[:MOST])
    lines = lines_to_clock(jobs[:MOST_CLOCKS])
    return [OwnJob(job, next_step(on_record(job, waits.get(job.pk))), lines.get(job.pk, [])) for job in jobs[:MOST]]


def lines_to_clock(jobs: Sequence[Job]) -> dict[int, list[JobLine]]:
    """The first lines of these jobs by job, each with whether a clock of the job's technician runs on it."""
    runs = Stretch.objects.filter(line=OuterRef("pk"), is_open=True, person=OuterRef("job__technician"))
    found: dict[int, list[JobLine]] = {}
    for line in JobLine.objects.filter(job__in=jobs, position__lte=MOST_LINES).annotate(runs=Exists(runs)):
        found.setdefault(line.job_id, []).append(line)
    return found


def with_record(jobs: QuerySet[Job]) -> QuerySet[Job]:
    """The jobs with what the rule for the next step asks, all inside the one query."""
    of_job = {"job": OuterRef("pk")}
    scans = Scan.objects.filter(IS_EFFECTIVE, entry__job=OuterRef("pk"))
    log = effective(LogEntry.objects.filter(**of_job)).order_by("-happened_at").values("happened_at")
    reason = JobMove.objects.filter(entry__job=OuterRef("pk")).order_by("-entry__happened_at", "-entry__position")
    return jobs.annotate(
        has_unit=Exists(ControlUnit.objects.filter(vessel=OuterRef("vessel"), removed_on=None)),
        has_arrival_scan=Exists(scans.filter(phase="arrival")),
        has_sea_trial_scan=Exists(scans.filter(phase="sea-trial")),
        has_open_fault=Exists(Fault.objects.filter(vessel=OuterRef("vessel"), is_open=True)),
        lacks_cause=Exists(JobLine.objects.filter(**of_job, cause="")),
        lacks_correction=Exists(JobLine.objects.filter(**of_job, correction="")),
        last_scan_at=Subquery(log.filter(kind="scan")[:1]),
        last_clear_at=Subquery(log.filter(kind="clear")[:1]),
        has_report=Exists(ReportDraft.objects.filter(**of_job)) | Exists(IssuedReport.objects.filter(**of_job)),
        reason=Subquery(reason.values("reason")[:1]),
    )


def on_record(job: Job, wait: Wait | None = None) -> OnRecord:
    """What ``with_record`` found, for the rule."""
    names = [name for name in OnRecord.__dataclass_fields__ if name not in {"state", "reason", "wait"}]
    return OnRecord(
        state=JobState(job.state),
        reason=getattr(job, "reason", "") or "",
        wait=wait,
        **{name: getattr(job, name) for name in names},
    )


def working_order(job: Job) -> tuple[int, date, int]:
    """What one turns to first."""
    return _WORK_ORDER.index(JobState(job.state)), job.promised_on or date.max, job.number


def faults_on(vessels: list[int]) -> QuerySet[Fault]:
    """Open faults on these boats, boat by boat."""
    return (
        Fault.objects.filter(vessel__in=vessels, is_open=True, unit__removed_on=None)
        .select_related("vessel", "engine", "unit__engine")
        .order_by("vessel__name", "-last_seen_at")[:20]
    )
